-- Who may come in and what they may do: each change of it, and who was refused.

-- +goose Up
CREATE TABLE access_facts (
	seq     INTEGER PRIMARY KEY,
	time    INTEGER,
	kind    TEXT NOT NULL,
	by      TEXT NOT NULL,
	subject TEXT NOT NULL,
	data    BLOB
) STRICT;

DROP VIEW fact_times;
CREATE VIEW fact_times (seq, time) AS
	SELECT seq, time FROM readings    UNION ALL
	SELECT seq, time FROM rejects     UNION ALL
	SELECT seq, time FROM states      UNION ALL
	SELECT seq, time FROM files       UNION ALL
	SELECT seq, time FROM job_facts   UNION ALL
	SELECT seq, time FROM gauge_facts UNION ALL
	SELECT seq, time FROM releases    UNION ALL
	SELECT seq, time FROM access_facts;

-- +goose StatementBegin
CREATE TRIGGER access_facts_keep BEFORE UPDATE ON access_facts BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER access_facts_stay BEFORE DELETE ON access_facts BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
