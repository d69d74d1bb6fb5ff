-- Who started a job, and which jobs are being measured, to find them without reading all.

-- +goose Up
CREATE INDEX job_facts_started ON job_facts (by, job) WHERE kind = 'started';
CREATE INDEX jobs_measuring ON jobs (job) WHERE outcome IN ('', 'measuring') OR unspoken = 1;
