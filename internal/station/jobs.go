package station

import (
	"context"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// jobStore is the history as jobs are loaded from it.
type jobStore interface {
	LastJob(ctx context.Context) (uint64, error)
	// JobsWithout returns the numbers of the jobs that have no fact of a kind.
	JobsWithout(ctx context.Context, kind string) ([]uint64, error)
	// JobNumbers returns the numbers of the jobs that a query chooses, by their last verdict.
	JobNumbers(ctx context.Context, q gauge.JobQuery) ([]uint64, error)
	JobFacts(ctx context.Context, job uint64) ([]gauge.Fact, error)
	Reading(ctx context.Context, seq uint64) (gauge.Fact, error)
}

// Job returns a job as it stands.
func (s *Station) Job(ctx context.Context, id uint64) (*job.Job, error) {
	s.mu.RLock()
	last := s.lastJob
	s.mu.RUnlock()
	if id == 0 || id > last {
		return nil, job.NoJob(id)
	}
	return s.asOfNow(ctx, id, job.NewFiles(s.o.Store))
}

// asOfNow is a job as it stands, with what is known of its gauges now; the cache is
// one that nobody else uses meanwhile.
func (s *Station) asOfNow(ctx context.Context, id uint64, files *job.Files) (*job.Job, error) {
	j, err := s.stands(ctx, id, files)
	if err != nil || j.Closed.IsZero() {
		return j, err
	}
	return j.Warned(s.healthOf, s.o.Now()), nil // a check may have failed since
}

// healthOf is the committed health of a gauge; nil when there is none.
func (s *Station) healthOf(id string) *health.Gauge {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.health[id]
}

// stands returns a job as it stands: an open one, or one from the history with
// the file versions of a cache that nobody else uses meanwhile.
func (s *Station) stands(ctx context.Context, id uint64, files *job.Files) (*job.Job, error) {
	s.mu.RLock()
	j, open := s.jobs[id]
	s.mu.RUnlock()
	if open {
		return j, nil
	}
	return job.Load(ctx, s.o.Store, id, files, nil)
}

// Jobs returns the jobs that a query chooses, newest first. The outcome is that of the
// job as it stands. A gauge that the station never had is no gauge without jobs.
func (s *Station) Jobs(ctx context.Context, q gauge.JobQuery) ([]*job.Job, error) {
	s.mu.RLock()
	next := s.lastJob + 1 // of a newer one the store may know first
	s.mu.RUnlock()
	if q.Before == 0 || q.Before > next {
		q.Before = next
	}
	var jobs []*job.Job
	files := job.NewFiles(s.o.Store)
	for most := q.Limit; len(jobs) < most; {
		q.Limit = min(most-len(jobs), listAtOnce)
		ids, err := s.o.Store.JobNumbers(ctx, q)
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			j, err := s.asOfNow(ctx, id, files)
			if s.Quarantine.Has(err) {
				continue // it is said with the station's troubles
			}
			if err != nil {
				return nil, err
			}
			if chosen(q, j) {
				jobs = append(jobs, j)
			}
		}
		if len(ids) < q.Limit || q.After > 0 {
			break
		}
		q.Before = ids[len(ids)-1]
	}
	if len(jobs) == 0 {
		return nil, s.Knows(ctx, q.Gauge)
	}
	return jobs, nil
}

// chosen reports whether a job as it stands is one that is asked for: the store knows it as of
// its last verdict.
func chosen(q gauge.JobQuery, j *job.Job) bool {
	switch {
	case q.Outcome != "" && q.Outcome != string(j.Evaluation.Outcome), q.Open && !j.Closed.IsZero(), q.Aside && j.Aside == nil, !j.Labels.Has(q.Labels):
		return false
	case j.Unfinished():
		return !q.Standing
	}
	return !q.Unfinished
}

// OpenJobs returns how many jobs are open.
func (s *Station) OpenJobs() int {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return len(s.jobs)
}

// Aside returns how many jobs are set aside.
func (s *Station) Aside() (n int) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	for _, j := range s.jobs {
		if j.Aside != nil {
			n++
		}
	}
	return n
}

// ReplayVerdicts computes the verdicts of a job again from the stored facts,
// or of all jobs when id is 0, and compares them byte for byte.
func (s *Station) ReplayVerdicts(ctx context.Context, id uint64) (job.Replay, error) {
	if id != 0 {
		return job.ReplayVerdicts(ctx, s.o.Store, id, id)
	}
	return job.ReplayVerdicts(ctx, s.o.Store, 1, s.LastJob())
}
