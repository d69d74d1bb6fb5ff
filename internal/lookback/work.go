package lookback

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"sync"
	"sync/atomic"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/jobs"
	"gauged/internal/job"
)

// work is what the jobs of the last time say of their gauges. It is loaded when
// it is first asked for.
type work struct {
	mu    sync.Mutex // one estimate at a time; taken before the locks of the station
	jobs  *jobs.Work // nil: not loaded
	known atomic.Pointer[map[string]jobs.WorkError]
}

// WorkErrors estimates the errors of the gauges from the jobs, and from the
// checks, which say what the jobs cannot tell apart. Gauges that no job compares
// are not in it. The first call reads the jobs of the last 400 days; the estimate
// is kept until a job or a check says something new.
func (r *Reader) WorkErrors(ctx context.Context) (map[string]jobs.WorkError, error) {
	r.work.mu.Lock()
	defer r.work.mu.Unlock()
	n := r.station.News()
	if r.work.jobs == nil {
		if err := r.loadResiduals(ctx); err != nil {
			return nil, fmt.Errorf("errors of the gauges by their work: %w", err)
		}
	}
	if n.Check {
		r.work.jobs.Checked()
	}
	for _, j := range n.Jobs {
		if err := tell(j, r.work.jobs); err != nil {
			return nil, err
		}
	}
	found, err := r.work.jobs.Errors(r.now(), func(id string) ([]*check.Record, error) {
		checks, err := r.station.Checks(ctx, id)
		if errors.As(err, new(*health.Damaged)) {
			return nil, nil // it serves no job
		}
		return checks, err
	})
	if err != nil {
		return nil, fmt.Errorf("errors of the gauges by their work: %w", err)
	}
	known := maps.Clone(found)
	r.work.known.Store(&known)
	return maps.Clone(known), nil
}

// tell says what the job says of its gauges now.
func tell(j *job.Job, w *jobs.Work) error {
	said, says, err := j.Residual()
	switch {
	case err != nil:
		return err
	case says:
		w.Take(j.ID, &said)
	default:
		w.Take(j.ID, nil)
	}
	return nil
}

// KnownWorkErrors is what WorkErrors last said, at once; nil before it said
// anything. The map is not to be changed.
func (r *Reader) KnownWorkErrors() map[string]jobs.WorkError {
	if known := r.work.known.Load(); known != nil {
		return *known
	}
	return nil
}

// loadResiduals reads what the stored jobs say.
func (r *Reader) loadResiduals(ctx context.Context) error {
	w := jobs.NewWork()
	files := job.NewFiles(r.store)
	oldest := r.now().Add(-jobs.Kept)
	err := job.EachStart(ctx, r.store, func(f gauge.Fact) error {
		if f.Job.Time.Before(oldest) {
			return nil
		}
		err := r.residual(ctx, f, files, w)
		if r.Quarantine.Has(err) {
			return nil
		}
		return err
	})
	if err == nil {
		r.work.jobs = w
	}
	return err
}

// residual reads what a stored job says.
func (r *Reader) residual(ctx context.Context, start gauge.Fact, files *job.Files, w *jobs.Work) error {
	data, err := job.Unmarshal[job.StartedData](start.Job)
	if err != nil {
		return &job.Damaged{Job: start.Job.Job, Why: err}
	}
	if len(data.Gauges) == 0 {
		return nil
	}
	p, err := files.Procedure(data.ProcedureHash)
	if err == nil && p.VerifyPlay == nil {
		return nil
	}
	j, err := job.Fold(ctx, r.store, start.Job.Job, files, nil)
	if err != nil {
		return err
	}
	return r.Quarantine.Each(ctx, []job.Folded{{Job: j}}, func(j job.Folded) error { return tell(j.Job, w) })
}

// workTrack is the error of a gauge in the course of time as the jobs and the
// checks tell it; nil when no job compares the gauge. It is not to be changed.
func (r *Reader) workTrack(ctx context.Context, gaugeID string) ([]jobs.Point, error) {
	if _, err := r.WorkErrors(ctx); err != nil {
		return nil, fmt.Errorf("gauge %s: %w", gaugeID, err)
	}
	r.work.mu.Lock()
	defer r.work.mu.Unlock()
	return r.work.jobs.Track(gaugeID), nil
}
