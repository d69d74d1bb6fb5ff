-- The labels that a job had, such as the order that it belongs to, to find the jobs that have
-- one: its name, and its text as gauge.SerialKey writes it. The rule is not one of SQL, so
-- the writer adds the rows. No job had labels before.

-- +goose Up
CREATE TABLE job_labels (
	key TEXT    NOT NULL,
	job INTEGER NOT NULL,
	PRIMARY KEY (key, job)
) STRICT, WITHOUT ROWID;
