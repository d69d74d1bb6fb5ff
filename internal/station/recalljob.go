package station

import (
	"context"
	"fmt"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// recaller recalls jobs, many with each read. It belongs to one goroutine.
type recaller struct {
	s     *Station
	e     gaugeError
	files *fileCache
	brief *evaluate.Brief
}

// jobBatch is how many jobs are read at once.
const jobBatch = 256

// recall returns what became of the jobs with these starts that count a reading
// of the gauge.
func (w *recaller) recall(ctx context.Context, starts []gauge.Fact) ([]RecallItem, error) {
	if e := w.e; e.gone {
		starts = slices.DeleteFunc(starts, func(f gauge.Fact) bool { return !f.Job.Time.Before(e.until) })
	}
	var items []RecallItem
	for batch := range slices.Chunk(starts, jobBatch) {
		jobs, err := w.s.foldJobs(ctx, batch, w.files)
		if err != nil {
			return nil, err
		}
		for _, j := range jobs {
			item, err := w.job(j)
			if err != nil {
				return nil, err
			}
			if item != nil {
				items = append(items, *item)
			}
		}
	}
	return items, nil
}

// job evaluates one job again; nil when it counts no reading of the gauge.
func (w *recaller) job(j foldedJob) (*RecallItem, error) {
	if !j.uses(w.e.gauge) {
		return nil, nil
	}
	readings := j.counting()
	before := j.input(slices.Clone(readings))
	off, counted, err := j.withoutError(readings, w.e)
	if err != nil || !counted {
		return nil, err
	}
	was, err := w.brief.Evaluate(j.Procedure, j.Family, before)
	if err != nil {
		return nil, fmt.Errorf("job %d: %w", j.ID, err)
	}
	after := j.input(readings)
	after.TakenOff = off
	is, err := w.brief.Evaluate(j.Procedure, j.Family, after)
	if err != nil {
		return nil, fmt.Errorf("job %d: %w", j.ID, err)
	}
	return j.recalled(&was, &is), nil
}

// recalled compares what a job came to with what it comes to now.
func (j *Job) recalled(before, after *evaluate.Evaluation) *RecallItem {
	item := &RecallItem{
		Job: j.ID, UnitSerial: j.UnitSerial, Started: j.Started, Closed: j.Closed,
		Before: before.Outcome, After: after.Outcome, Change: changed(before, after),
	}
	then, now := j.closing(before), j.closing(after)
	item.Measured, item.Allowed, item.Unit = then.value, then.allowed, then.unit
	if now.what == then.what {
		item.Corrected, item.Allowed = now.value, now.allowed
	}
	if now.probability != nil {
		p := now.probability.Float()
		item.Probability = &p
	}
	return item
}

// withoutError takes the error of a gauge off the readings that count, and says
// whether any is of that gauge. off is the standard uncertainty of what was taken
// off each measurement.
func (j foldedJob) withoutError(readings []evaluate.Reading, e gaugeError) (off map[string]gauge.Length, counted bool, err error) {
	counts := map[string]gauge.Length{}
	off = map[string]gauge.Length{}
	for i := range readings {
		r := &readings[i]
		if r.Discarded != "" {
			continue
		}
		counts[r.Measurement]++
		t := j.named[r.Seq]
		switch {
		case r.Gauge != e.gauge:
			continue
		case r.Unit.Kind() != gauge.KindLength:
			return nil, false, fmt.Errorf("%w: job %d: reading %d is in %v, and the error of the gauge is a length", ErrRefused, j.ID, r.Seq, r.Unit)
		}
		counted = true
		var standard gauge.Length
		before := r.Value
		r.Value, standard = e.takenOff(r.Value, t, j.Started)
		if r.Upper != nil { // both ends of an interval that was typed in
			upper := *r.Upper + r.Value - before
			r.Upper = &upper
		}
		off[r.Measurement] += standard
	}
	for name := range off {
		off[name] /= counts[name] // that of a mean: a reading of another gauge has no share
	}
	return off, counted, nil
}
