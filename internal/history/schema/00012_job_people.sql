-- Who started a job, took it up again, or signed or closed it, to find the jobs of a person.

-- +goose Up
DROP INDEX job_facts_started;
CREATE INDEX job_facts_people ON job_facts (by, job) WHERE kind IN ('started', 'resumed', 'verified', 'closed');
