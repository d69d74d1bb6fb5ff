package station

import (
	"context"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/jobs"
)

// WorkError is the error of a gauge as the jobs show it between its checks.
type WorkError struct {
	Error    float64 // shown less true, in metres
	Standard float64 // its standard uncertainty, in metres
	Alarm    bool    // something changed since its last check, and it may be this gauge
	// Suspects are the gauges of the alarm, the likeliest first; of several it
	// cannot be told which one it is.
	Suspects []string
}

// work is what the jobs of the last time say of their gauges. It is loaded when
// it is first asked for.
type work struct {
	mu        sync.Mutex               // one estimate at a time; taken before Station.mu
	residuals map[uint64]jobs.Residual // by job; nil: not loaded
	errors    map[string]WorkError     // nil: to be estimated
	tracks    map[string][]jobs.Point  // the errors in the course of time, of the last estimate
	known     atomic.Pointer[map[string]WorkError]
}

// news is what was published since the last estimate. Station.mu guards it.
type news struct {
	wanted bool // there was an estimate
	jobs   map[uint64]*Job
	check  bool
}

// take notes what may say something of the gauges. It computes nothing.
func (n *news) take(d *draft) {
	if !n.wanted {
		return
	}
	for id, j := range d.jobs {
		if j.Procedure.VerifyPlay != nil && len(j.fitted) > 0 {
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
	s.news = news{wanted: true, jobs: map[uint64]*Job{}}
	return n
}

// WorkErrors estimates the errors of the gauges from the jobs, and from the
// checks, which say what the jobs cannot tell apart. Gauges that no job compares
// are not in it. The first call reads the jobs of the last 400 days; the estimate
// is kept until a job or a check says something new.
func (s *Station) WorkErrors(ctx context.Context) (map[string]WorkError, error) {
	s.work.mu.Lock()
	defer s.work.mu.Unlock()
	n := s.takeNews()
	if s.work.residuals == nil {
		if err := s.loadResiduals(ctx); err != nil {
			return nil, fmt.Errorf("errors of the gauges by their work: %w", err)
		}
	}
	if n.check {
		s.work.errors = nil
	}
	for _, j := range n.jobs {
		if err := s.work.take(j); err != nil {
			return nil, err
		}
	}
	if s.work.errors == nil {
		errors, err := s.estimate(ctx)
		if err != nil {
			return nil, fmt.Errorf("errors of the gauges by their work: %w", err)
		}
		s.work.errors = errors
	}
	known := maps.Clone(s.work.errors)
	s.work.known.Store(&known)
	return maps.Clone(known), nil
}

// KnownWorkErrors is what WorkErrors last said, at once; nil before it said
// anything. The map is not to be changed.
func (s *Station) KnownWorkErrors() map[string]WorkError {
	if known := s.work.known.Load(); known != nil {
		return *known
	}
	return nil
}

// loadResiduals reads what the stored jobs say.
func (s *Station) loadResiduals(ctx context.Context) error {
	w := work{residuals: map[uint64]jobs.Residual{}}
	files := &fileCache{store: s.o.Store}
	oldest := s.o.Now().Add(-jobs.Kept)
	err := s.eachStart(ctx, func(f gauge.Fact) error {
		if f.Job.Time.Before(oldest) {
			return nil
		}
		data, err := unmarshal[startedData](f.Job)
		if err != nil || len(data.Gauges) == 0 {
			return err
		}
		p, err := files.procedure(data.ProcedureHash)
		if err != nil || p.VerifyPlay == nil {
			return err
		}
		j, err := s.foldJob(ctx, f.Job.Job, files, nil)
		if err != nil {
			return err
		}
		return w.take(j)
	})
	if err == nil {
		s.work.residuals = w.residuals
	}
	return err
}

// take takes up what a job says now, in the place of what it said before.
func (w *work) take(j *Job) error {
	before, said := w.residuals[j.ID]
	r, says, err := j.residual()
	switch {
	case err != nil:
		return err
	case !says:
		delete(w.residuals, j.ID)
	case said && reflect.DeepEqual(r, before):
		return nil
	default:
		w.residuals[j.ID] = r
	}
	if says || said {
		w.errors = nil
	}
	return nil
}

// estimate finds the errors of the gauges that the jobs compare.
func (s *Station) estimate(ctx context.Context) (map[string]WorkError, error) {
	until := s.o.Now()
	oldest := until.Add(-jobs.Kept)
	var residuals []jobs.Residual
	compared := map[string]time.Time{} // when a gauge was last checked
	for _, id := range slices.Sorted(maps.Keys(s.work.residuals)) {
		r := s.work.residuals[id]
		if r.Time.Before(oldest) {
			delete(s.work.residuals, id)
			continue
		}
		residuals = append(residuals, r)
		for _, t := range r.Terms {
			compared[t.Gauge] = time.Time{}
		}
		until = later(until, r.Time) // the clock was set back
	}
	var anchors []jobs.Anchor
	adjusted := map[string][]jobs.Point{}
	for _, id := range slices.Sorted(maps.Keys(compared)) {
		checks, err := s.Checks(ctx, id)
		if err != nil {
			return nil, err
		}
		for _, c := range checks {
			compared[id] = later(compared[id], c.Time)
			until = later(until, c.Time)
			if !c.Time.Before(oldest) {
				anchors = append(anchors, anchorsOf(c, id)...)
			}
			if c.Left != nil {
				adjusted[id] = append(adjusted[id], jobs.Point{Time: c.Time, Error: c.Left.Error.Metres(), Sigma: uncertaintyOf(c.Left.Standard)})
			}
		}
	}
	site, err := jobs.Estimate(jobs.DefaultModel(), residuals, anchors, until)
	if err != nil {
		return nil, err
	}
	s.work.tracks = tracks(site, adjusted)
	return workErrors(site, compared), nil
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// usualCheck is the standard uncertainty of a check, in metres, of whose gauge
// and master nothing is known. Common practice, no source.
const usualCheck = 1e-6

// anchors are what a check says: the error as found and, after an adjustment, as
// left, from which on the error begins anew.
func anchorsOf(c *check.Record, id string) []jobs.Anchor {
	anchors := []jobs.Anchor{{Time: c.Time, Gauge: id, Error: c.Result.Error.Metres(), Sigma: uncertaintyOf(c.Result.Standard)}}
	if c.Left != nil {
		anchors = append(anchors, jobs.Anchor{Time: c.Time, Gauge: id, Error: c.Left.Error.Metres(), Sigma: uncertaintyOf(c.Left.Standard), Restart: true})
	}
	return anchors
}

func uncertaintyOf(standard float64) float64 {
	if standard > 0 && !math.IsInf(standard, 0) {
		return standard
	}
	return usualCheck
}

// workErrors is what a site says of each gauge now. A check of a gauge answers
// the alarms that were raised before it.
func workErrors(site jobs.Site, checked map[string]time.Time) map[string]WorkError {
	errors := map[string]WorkError{}
	for _, track := range site.Tracks {
		last := track.Points[len(track.Points)-1]
		errors[track.Gauge] = WorkError{Error: last.Error, Standard: last.Sigma}
	}
	for _, alarm := range site.Alarms {
		var suspects []string
		for _, suspect := range alarm.Suspects {
			suspects = append(suspects, suspect.Gauge)
		}
		for _, id := range suspects {
			if e, ok := errors[id]; ok && alarm.Time.After(checked[id]) {
				e.Alarm, e.Suspects = true, suspects
				errors[id] = e
			}
		}
	}
	return errors
}
