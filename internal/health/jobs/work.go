package jobs

import (
	"maps"
	"math"
	"reflect"
	"slices"
	"time"

	"gauged/internal/health/check"
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

// Work is what the jobs of the last time say of their gauges.
type Work struct {
	residuals map[uint64]Residual  // by job
	errors    map[string]WorkError // nil: to be estimated
	tracks    map[string][]Point   // the errors in the course of time, of the last estimate
}

// NewWork knows of no job yet.
func NewWork() *Work { return &Work{residuals: map[uint64]Residual{}} }

// Take takes up what a job says now, in the place of what it said before; nil: nothing.
func (w *Work) Take(job uint64, r *Residual) {
	before, said := w.residuals[job]
	switch {
	case r == nil && !said, r != nil && said && reflect.DeepEqual(*r, before):
		return
	case r == nil:
		delete(w.residuals, job)
	default:
		w.residuals[job] = *r
	}
	w.errors = nil
}

// Checked says that a check was made or voided, so that the errors are to be estimated anew.
func (w *Work) Checked() { w.errors = nil }

// Track is the error of a gauge in the course of time, as of the last estimate; nil when no
// job compares the gauge. It is not to be changed.
func (w *Work) Track(gaugeID string) []Point { return w.tracks[gaugeID] }

// Errors are the errors of the gauges that the jobs compare, estimated now where something
// new was said. checks are those of a gauge that count, oldest first. The map is not to be
// changed.
func (w *Work) Errors(now time.Time, checks func(gaugeID string) ([]*check.Record, error)) (map[string]WorkError, error) {
	if w.errors != nil {
		return w.errors, nil
	}
	until := now
	oldest := until.Add(-Kept)
	var residuals []Residual
	compared := map[string]time.Time{} // when a gauge was last checked
	for _, id := range slices.Sorted(maps.Keys(w.residuals)) {
		r := w.residuals[id]
		if r.Time.Before(oldest) {
			delete(w.residuals, id)
			continue
		}
		residuals = append(residuals, r)
		for _, t := range r.Terms {
			compared[t.Gauge] = time.Time{}
		}
		until = later(until, r.Time) // the clock was set back
	}
	var anchors []Anchor
	adjusted := map[string][]Point{}
	for _, id := range slices.Sorted(maps.Keys(compared)) {
		made, err := checks(id)
		if err != nil {
			return nil, err
		}
		for _, c := range made {
			compared[id] = later(compared[id], c.Time)
			until = later(until, c.Time)
			if !c.Time.Before(oldest) {
				anchors = append(anchors, anchorsOf(c, id)...)
			}
			if c.Left != nil {
				adjusted[id] = append(adjusted[id], Point{Time: c.Time, Error: c.Left.Error.Metres(), Sigma: uncertaintyOf(c.Left.Standard)})
			}
		}
	}
	site, err := Estimate(DefaultModel(), residuals, anchors, until)
	if err != nil {
		return nil, err
	}
	w.tracks, w.errors = tracks(site, adjusted), workErrors(site, compared)
	return w.errors, nil
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
func anchorsOf(c *check.Record, id string) []Anchor {
	anchors := []Anchor{{Time: c.Time, Gauge: id, Error: c.Result.Error.Metres(), Sigma: uncertaintyOf(c.Result.Standard)}}
	if c.Left != nil {
		anchors = append(anchors, Anchor{Time: c.Time, Gauge: id, Error: c.Left.Error.Metres(), Sigma: uncertaintyOf(c.Left.Standard), Restart: true})
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
func workErrors(site Site, checked map[string]time.Time) map[string]WorkError {
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
