-- Which gauges gave a job its readings, to find the jobs of one gauge without reading
-- all of them. It follows from the facts alone: a step "taken" names its reading.

-- +goose Up
CREATE TABLE job_gauges (
	gauge TEXT    NOT NULL,
	job   INTEGER NOT NULL,
	PRIMARY KEY (gauge, job)
) STRICT, WITHOUT ROWID;

INSERT OR IGNORE INTO job_gauges (gauge, job)
SELECT r.gauge, f.job
FROM job_facts f JOIN readings r ON r.seq = json_extract(CAST(f.data AS TEXT), '$.reading')
WHERE f.kind = 'taken' AND json_valid(CAST(f.data AS TEXT));

-- +goose StatementBegin
CREATE TRIGGER job_gauges_note AFTER INSERT ON job_facts
WHEN NEW.kind = 'taken' AND json_valid(CAST(NEW.data AS TEXT))
BEGIN
	INSERT OR IGNORE INTO job_gauges (gauge, job)
	SELECT gauge, NEW.job FROM readings WHERE seq = json_extract(CAST(NEW.data AS TEXT), '$.reading');
END;
-- +goose StatementEnd
