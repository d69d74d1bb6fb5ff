-- What binds the facts of each commit to all before them: see docs/history.md. A row has up to
-- 1024 facts, those from last - length(marks) / 4 + 1 to last.
CREATE TABLE chain (
	last    INTEGER PRIMARY KEY, -- number of its last fact
	upgrade INTEGER NOT NULL,    -- 1: the facts had been stored before there was a chain
	digest  BLOB    NOT NULL,    -- 32 bytes
	marks   BLOB    NOT NULL     -- 4 bytes of each fact's digest
) STRICT;

CREATE TRIGGER chain_keep BEFORE UPDATE ON chain BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
CREATE TRIGGER chain_stay BEFORE DELETE ON chain BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END;
