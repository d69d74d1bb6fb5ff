-- Times are unix nanoseconds in UTC, NULL when unknown; lengths are picometres.

-- +goose Up
CREATE TABLE history (
	only INTEGER PRIMARY KEY CHECK (only = 1),
	id   TEXT NOT NULL
) STRICT;
INSERT INTO history (only, id) VALUES (1, lower(hex(randomblob(16))));

CREATE TABLE readings (
	seq        INTEGER PRIMARY KEY,
	gauge      TEXT    NOT NULL,
	number     INTEGER NOT NULL,
	time       INTEGER,
	value      INTEGER NOT NULL,
	shown      TEXT    NOT NULL,
	unit       TEXT    NOT NULL,
	status     TEXT    NOT NULL,
	raw        BLOB,
	source     TEXT    NOT NULL,
	source_seq INTEGER NOT NULL,
	entered_by TEXT    NOT NULL,
	UNIQUE (gauge, number)
) STRICT;
CREATE UNIQUE INDEX readings_source ON readings (source_seq, source) WHERE source_seq > 0;

CREATE TABLE rejects (
	seq        INTEGER PRIMARY KEY,
	gauge      TEXT    NOT NULL,
	time       INTEGER,
	reason     TEXT    NOT NULL,
	detail     TEXT    NOT NULL,
	raw        BLOB,
	source     TEXT    NOT NULL,
	source_seq INTEGER NOT NULL
) STRICT;
CREATE INDEX rejects_gauge ON rejects (gauge);
CREATE UNIQUE INDEX rejects_source ON rejects (source_seq, source) WHERE source_seq > 0;

CREATE TABLE states (
	seq    INTEGER PRIMARY KEY,
	gauge  TEXT NOT NULL,
	time   INTEGER,
	state  TEXT NOT NULL,
	reason TEXT NOT NULL
) STRICT;

CREATE TABLE files (
	seq     INTEGER PRIMARY KEY,
	hash    TEXT NOT NULL UNIQUE,
	kind    TEXT NOT NULL,
	name    TEXT NOT NULL,
	content BLOB,
	time    INTEGER
) STRICT;

CREATE TABLE job_facts (
	seq  INTEGER PRIMARY KEY,
	job  INTEGER NOT NULL,
	time INTEGER,
	kind TEXT NOT NULL,
	by   TEXT NOT NULL,
	data BLOB
) STRICT;
CREATE INDEX job_facts_job ON job_facts (job);
CREATE INDEX job_facts_kind ON job_facts (kind, job);

-- +goose StatementBegin
CREATE TRIGGER history_keep   BEFORE UPDATE ON history   BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER history_stay   BEFORE DELETE ON history   BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER readings_keep  BEFORE UPDATE ON readings  BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER readings_stay  BEFORE DELETE ON readings  BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rejects_keep   BEFORE UPDATE ON rejects   BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rejects_stay   BEFORE DELETE ON rejects   BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER states_keep    BEFORE UPDATE ON states    BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER states_stay    BEFORE DELETE ON states    BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER files_keep     BEFORE UPDATE ON files     BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER files_stay     BEFORE DELETE ON files     BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER job_facts_keep BEFORE UPDATE ON job_facts BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER job_facts_stay BEFORE DELETE ON job_facts BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
-- +goose StatementEnd
