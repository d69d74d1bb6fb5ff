-- By what lists are found, and which requests were stored. Spans and jobs follow from
-- the facts alone.

-- +goose Up
CREATE VIEW fact_times (seq, time) AS
	SELECT seq, time FROM readings    UNION ALL
	SELECT seq, time FROM rejects     UNION ALL
	SELECT seq, time FROM states      UNION ALL
	SELECT seq, time FROM files       UNION ALL
	SELECT seq, time FROM job_facts   UNION ALL
	SELECT seq, time FROM gauge_facts UNION ALL
	SELECT seq, time FROM releases;

-- Between which times the facts of a block of 1024 numbers lie. A clock may jump, so that
-- no number can be worked out from a time; most blocks can be passed over all the same. The
-- writer adds the row of a block with its last fact: a trigger would cost each reading.
CREATE TABLE spans (
	last  INTEGER PRIMARY KEY, -- number of its last fact
	least INTEGER,             -- NULL when no fact of it has a time
	most  INTEGER
) STRICT;
INSERT INTO spans (last, least, most)
SELECT (seq + 1023) / 1024 * 1024, min(time), max(time) FROM fact_times
GROUP BY (seq + 1023) / 1024 HAVING count(*) = 1024;

-- What jobs are chosen by.
CREATE TABLE jobs (
	job       INTEGER PRIMARY KEY,
	started   INTEGER,
	unit      TEXT    NOT NULL,
	procedure TEXT    NOT NULL, -- its id
	outcome   TEXT    NOT NULL, -- of the last verdict; empty before the first
	unspoken  INTEGER NOT NULL, -- 1: something was measured, discarded or fitted since then
	closed    INTEGER NOT NULL
) STRICT;
CREATE INDEX jobs_unit      ON jobs (unit);
CREATE INDEX jobs_procedure ON jobs (procedure);
CREATE INDEX jobs_outcome   ON jobs (outcome);
CREATE INDEX jobs_started   ON jobs (started);
CREATE INDEX jobs_open      ON jobs (job) WHERE closed = 0;
INSERT OR IGNORE INTO jobs (job, started, unit, procedure, outcome, unspoken, closed)
SELECT job, time, coalesce(data ->> '$.unit_serial', ''),
	coalesce((SELECT name FROM files WHERE hash = data ->> '$.procedure_hash'), ''), coalesce(outcome, ''),
	EXISTS (SELECT 1 FROM job_facts f WHERE f.job = s.job AND f.kind IN ('taken', 'discarded', 'fitted', 'round') AND f.seq > coalesce(spoken, 0)),
	EXISTS (SELECT 1 FROM job_facts f WHERE f.kind = 'closed' AND f.job = s.job)
FROM (
	SELECT job, time, CASE WHEN json_valid(CAST(data AS TEXT)) THEN CAST(data AS TEXT) ELSE '{}' END AS data,
		(SELECT max(seq) FROM job_facts v WHERE v.kind = 'verdict' AND v.job = b.job) AS spoken,
		(SELECT CASE WHEN json_valid(CAST(v.data AS TEXT)) THEN CAST(v.data AS TEXT) ->> '$.outcome' END FROM job_facts v
			WHERE v.kind = 'verdict' AND v.job = b.job ORDER BY v.seq DESC LIMIT 1) AS outcome
	FROM job_facts b WHERE kind = 'started'
) s;

CREATE INDEX gauge_facts_kind ON gauge_facts (kind);
CREATE INDEX states_gauge     ON states (gauge);

-- Requests that have stored something, by the ids that their callers gave them.
CREATE TABLE requests (
	id    TEXT    PRIMARY KEY,
	hash  TEXT    NOT NULL, -- of what was asked
	first INTEGER NOT NULL, -- number of the first fact that it stored
	last  INTEGER NOT NULL  -- number of the last one
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER requests_keep BEFORE UPDATE ON requests BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER requests_stay BEFORE DELETE ON requests BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER jobs_start AFTER INSERT ON job_facts WHEN NEW.kind = 'started'
BEGIN
	INSERT OR IGNORE INTO jobs (job, started, unit, procedure, outcome, unspoken, closed)
	SELECT NEW.job, NEW.time, coalesce(data ->> '$.unit_serial', ''),
		coalesce((SELECT name FROM files WHERE hash = data ->> '$.procedure_hash'), ''), '', 0, 0
	FROM (SELECT CASE WHEN json_valid(CAST(NEW.data AS TEXT)) THEN CAST(NEW.data AS TEXT) ELSE '{}' END AS data);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER jobs_change AFTER INSERT ON job_facts WHEN NEW.kind IN ('taken', 'discarded', 'fitted', 'round')
BEGIN
	UPDATE jobs SET unspoken = 1 WHERE job = NEW.job AND unspoken = 0;
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER jobs_close AFTER INSERT ON job_facts WHEN NEW.kind = 'closed'
BEGIN
	UPDATE jobs SET closed = 1 WHERE job = NEW.job;
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER jobs_speak AFTER INSERT ON job_facts WHEN NEW.kind = 'verdict' AND json_valid(CAST(NEW.data AS TEXT))
BEGIN
	UPDATE jobs SET outcome = coalesce(CAST(NEW.data AS TEXT) ->> '$.outcome', ''), unspoken = 0 WHERE job = NEW.job;
END;
-- +goose StatementEnd
