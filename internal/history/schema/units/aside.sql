-- Jobs that are set aside, and the serial numbers by which jobs are found: those of the start
-- and those that it was put right to, as gauge.SerialKey writes them. The rule is not one of
-- SQL, so the writer adds the rows, and the upgrade those of the jobs that are there.
ALTER TABLE jobs ADD COLUMN aside INTEGER NOT NULL DEFAULT 0;
CREATE INDEX jobs_aside ON jobs (job) WHERE aside = 1;
DROP INDEX jobs_unit;

CREATE TABLE job_units (
	key TEXT    NOT NULL,
	job INTEGER NOT NULL,
	PRIMARY KEY (key, job)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER jobs_aside AFTER INSERT ON job_facts WHEN NEW.kind IN ('aside', 'resumed', 'closed')
BEGIN
	UPDATE jobs SET aside = NEW.kind = 'aside' WHERE job = NEW.job;
END;
CREATE TRIGGER jobs_serial AFTER INSERT ON job_facts WHEN NEW.kind = 'serial' AND json_valid(CAST(NEW.data AS TEXT))
BEGIN
	UPDATE jobs SET unit = coalesce(CAST(NEW.data AS TEXT) ->> '$.unit_serial', unit) WHERE job = NEW.job;
END;
