package station

import (
	"context"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// listAtOnce is how many entries are asked for at once where a list may need more.
const listAtOnce = 1000

// JobFacts returns every step of a job, or ErrNotFound.
func (s *Station) JobFacts(ctx context.Context, id uint64) ([]gauge.Fact, error) {
	s.mu.RLock()
	last := s.lastJob
	s.mu.RUnlock()
	if id == 0 || id > last {
		return nil, job.NoJob(id)
	}
	return s.o.Store.JobFacts(ctx, id)
}

// File returns the version of a procedure or part family with that hash, or
// ErrNotFound.
func (s *Station) File(ctx context.Context, hash string) (gauge.File, error) {
	known, err := s.o.Store.HasFile(ctx, hash)
	if err != nil {
		return gauge.File{}, err
	}
	if !known {
		return gauge.File{}, gauge.NotFound("refusal.file.version", gauge.Text("hash", hash))
	}
	return s.o.Store.File(ctx, hash)
}

// Open returns the open jobs by their numbers.
func (s *Station) Open() []*job.Job {
	s.mu.RLock()
	defer s.mu.RUnlock()
	open := make([]*job.Job, 0, len(s.jobs))
	for _, j := range s.jobs {
		open = append(open, j)
	}
	slices.SortFunc(open, func(a, b *job.Job) int { return int(a.ID) - int(b.ID) })
	return open
}

// Course returns every step of a job in order.
func (s *Station) Course(ctx context.Context, id uint64) ([]job.CourseStep, error) {
	facts, err := s.JobFacts(ctx, id)
	if err != nil {
		return nil, err
	}
	j, err := s.Job(ctx, id)
	if err != nil {
		return nil, err
	}
	return j.Course(ctx, s.o.Store, facts)
}
