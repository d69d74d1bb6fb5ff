-- What happens to a gauge besides its readings: checks against a master, and whether it may be used.

-- +goose Up
CREATE TABLE gauge_facts (
	seq   INTEGER PRIMARY KEY,
	gauge TEXT NOT NULL,
	time  INTEGER,
	kind  TEXT NOT NULL,
	by    TEXT NOT NULL,
	data  BLOB
) STRICT;
CREATE INDEX gauge_facts_gauge ON gauge_facts (gauge);

-- +goose StatementBegin
CREATE TRIGGER gauge_facts_keep BEFORE UPDATE ON gauge_facts BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER gauge_facts_stay BEFORE DELETE ON gauge_facts BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
