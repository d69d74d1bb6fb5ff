-- What a sender's numbers stand for is found by the sender first: a name that never sent
-- anything was looked for through all that others had sent.

-- +goose Up
DROP INDEX readings_source;
CREATE UNIQUE INDEX readings_source ON readings (source, source_seq) WHERE source_seq > 0;
DROP INDEX rejects_source;
CREATE UNIQUE INDEX rejects_source ON rejects (source, source_seq) WHERE source_seq > 0;
