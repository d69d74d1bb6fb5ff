package station

import (
	"context"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// listStore is the history as lists are read from it.
type listStore interface {
	ReadingsOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error)
	RejectsOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error)
	StatesOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error)
	GaugeFactsOf(ctx context.Context, kind string, q gauge.Query) ([]gauge.Fact, error)
}

// listAtOnce is how many entries are asked for at once where a list may need more.
const listAtOnce = 1000

// Readings returns the stored readings that a query chooses.
func (s *Station) Readings(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return s.ofGauge(ctx, q, s.o.Store.ReadingsOf)
}

// Rejects returns the rejected frames that a query chooses.
func (s *Station) Rejects(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return s.ofGauge(ctx, q, s.o.Store.RejectsOf)
}

// States returns the changes of states of gauges that a query chooses.
func (s *Station) States(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return s.ofGauge(ctx, q, s.o.Store.StatesOf)
}

// ofGauge reads stored facts. A gauge that is not configured and of which the
// history has none is no gauge without readings: its name is mistyped.
func (s *Station) ofGauge(ctx context.Context, q gauge.Query, read func(context.Context, gauge.Query) ([]gauge.Fact, error)) ([]gauge.Fact, error) {
	facts, err := read(ctx, q)
	if err != nil || len(facts) > 0 {
		return facts, err
	}
	return nil, s.knows(ctx, q.Gauge)
}

// knows gives the error of a gauge that is not configured and never was: there is no
// reading of it. No name stands for all gauges.
func (s *Station) knows(ctx context.Context, id string) error {
	if id == "" || slices.Contains(s.order, id) {
		return nil
	}
	if known, err := s.o.Store.ReadingsOf(ctx, gauge.Query{Gauge: id, Limit: 1}); err != nil || len(known) > 0 {
		return err
	}
	return s.noGauge(id)
}

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
