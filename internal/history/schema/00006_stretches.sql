-- Each opening for writing begins a stretch of numbers, with a random identity. A copy that is
-- opened in place of the history gives numbers of its own out again: its stretches tell.

-- +goose Up
CREATE TABLE stretches (
	number INTEGER PRIMARY KEY,
	id     TEXT    NOT NULL UNIQUE DEFAULT (lower(hex(randomblob(16)))),
	after  INTEGER NOT NULL -- number of the last fact before it
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER stretches_keep BEFORE UPDATE ON stretches BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER stretches_stay BEFORE DELETE ON stretches BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
