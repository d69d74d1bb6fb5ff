-- Which version of a file was put in force, by whom and why.

-- +goose Up
CREATE TABLE releases (
	seq    INTEGER PRIMARY KEY,
	hash   TEXT NOT NULL,
	kind   TEXT NOT NULL,
	name   TEXT NOT NULL,
	by     TEXT NOT NULL,
	reason TEXT NOT NULL,
	time   INTEGER
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER releases_keep BEFORE UPDATE ON releases BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER releases_stay BEFORE DELETE ON releases BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
