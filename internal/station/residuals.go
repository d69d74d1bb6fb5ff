package station

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"sync"
	"sync/atomic"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/jobs"
	"gauged/internal/job"
)

// work is what the jobs of the last time say of their gauges. It is loaded when
// it is first asked for.
type work struct {
	mu    sync.Mutex // one estimate at a time; taken before Station.mu
	jobs  *jobs.Work // nil: not loaded
	known atomic.Pointer[map[string]jobs.WorkError]
}

// news is what was published since the last estimate. Station.mu guards it.
type news struct {
	wanted bool // there was an estimate
	jobs   map[uint64]*job.Job
	check  bool
}

// take notes what may say something of the gauges. It computes nothing.
func (n *news) take(d *draft) {
	if !n.wanted {
		return
	}
	for id, j := range d.jobs {
		if j.Procedure.VerifyPlay != nil && len(j.Fitted) > 0 {
			n.jobs[id] = j
		}
	}
	n.check = n.check || slices.ContainsFunc(d.facts, func(f gauge.Fact) bool { return f.Gauge != nil })
}

// takeNews returns what was published since it was last called.
func (s *Station) takeNews() news {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := s.news
	s.news = news{wanted: true, jobs: map[uint64]*job.Job{}}
	return n
}

// WorkErrors estimates the errors of the gauges from the jobs, and from the
// checks, which say what the jobs cannot tell apart. Gauges that no job compares
// are not in it. The first call reads the jobs of the last 400 days; the estimate
// is kept until a job or a check says something new.
func (s *Station) WorkErrors(ctx context.Context) (map[string]jobs.WorkError, error) {
	s.work.mu.Lock()
	defer s.work.mu.Unlock()
	n := s.takeNews()
	if s.work.jobs == nil {
		if err := s.loadResiduals(ctx); err != nil {
			return nil, fmt.Errorf("errors of the gauges by their work: %w", err)
		}
	}
	if n.check {
		s.work.jobs.Checked()
	}
	for _, j := range n.jobs {
		if err := tell(j, s.work.jobs); err != nil {
			return nil, err
		}
	}
	errors, err := s.work.jobs.Errors(s.o.Now(), func(id string) ([]*check.Record, error) { return s.Checks(ctx, id) })
	if err != nil {
		return nil, fmt.Errorf("errors of the gauges by their work: %w", err)
	}
	known := maps.Clone(errors)
	s.work.known.Store(&known)
	return maps.Clone(known), nil
}

// tell says what the job says of its gauges now.
func tell(j *job.Job, w *jobs.Work) error {
	r, says, err := j.Residual()
	switch {
	case err != nil:
		return err
	case says:
		w.Take(j.ID, &r)
	default:
		w.Take(j.ID, nil)
	}
	return nil
}

// KnownWorkErrors is what WorkErrors last said, at once; nil before it said
// anything. The map is not to be changed.
func (s *Station) KnownWorkErrors() map[string]jobs.WorkError {
	if known := s.work.known.Load(); known != nil {
		return *known
	}
	return nil
}

// loadResiduals reads what the stored jobs say.
func (s *Station) loadResiduals(ctx context.Context) error {
	w := jobs.NewWork()
	files := job.NewFiles(s.o.Store)
	oldest := s.o.Now().Add(-jobs.Kept)
	err := job.EachStart(ctx, s.o.Store, func(f gauge.Fact) error {
		if f.Job.Time.Before(oldest) {
			return nil
		}
		data, err := job.Unmarshal[job.StartedData](f.Job)
		if err != nil || len(data.Gauges) == 0 {
			return err
		}
		p, err := files.Procedure(data.ProcedureHash)
		if err != nil || p.VerifyPlay == nil {
			return err
		}
		j, err := job.Fold(ctx, s.o.Store, f.Job.Job, files, nil)
		if err != nil {
			return err
		}
		return tell(j, w)
	})
	if err == nil {
		s.work.jobs = w
	}
	return err
}

// workTrack is the error of a gauge in the course of time as the jobs and the
// checks tell it; nil when no job compares the gauge. It is not to be changed.
func (s *Station) workTrack(ctx context.Context, gaugeID string) ([]jobs.Point, error) {
	if _, err := s.WorkErrors(ctx); err != nil {
		return nil, fmt.Errorf("gauge %s: %w", gaugeID, err)
	}
	s.work.mu.Lock()
	defer s.work.mu.Unlock()
	return s.work.jobs.Track(gaugeID), nil
}
