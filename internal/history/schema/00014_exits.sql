-- How far each exit has handed on what is stored, and what it gave up. This is no part of the
-- chain: it says nothing of what was measured, and changes. It is kept here so that a copy which
-- is put back goes on from where it was made: it repeats, and leaves out nothing.

-- +goose Up
CREATE TABLE exits (
	name  TEXT    NOT NULL PRIMARY KEY,
	after INTEGER NOT NULL, -- number of the last fact that it is done with
	state BLOB    NOT NULL  -- JSON of package exits
) STRICT, WITHOUT ROWID;
CREATE TABLE dead_letters (
	exit  TEXT    NOT NULL,
	seq   INTEGER NOT NULL, -- number of the fact that was not taken
	state BLOB    NOT NULL, -- JSON of package exits
	PRIMARY KEY (exit, seq)
) STRICT, WITHOUT ROWID;
