package station

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
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
	if ended := w.e.ended; !ended.IsZero() {
		starts = slices.DeleteFunc(starts, func(f gauge.Fact) bool { return !f.Job.Time.Before(ended) })
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
	off, err := j.withoutError(readings, w.e)
	if err != nil || !off.counted {
		return nil, err
	}
	was, err := w.brief.Evaluate(j.Procedure, j.Families, before)
	if err != nil {
		return nil, fmt.Errorf("job %d: %w", j.ID, err)
	}
	after := j.input(readings)
	after.TakenOff = off.errors
	is, err := w.brief.Evaluate(j.Procedure, j.Families, after)
	if err != nil {
		return nil, fmt.Errorf("job %d: %w", j.ID, err)
	}
	item := j.recalled(&was, &is)
	if item.ChoseOnly = j.onlyChose(&was, off.seqs); item.ChoseOnly {
		item = j.recalled(&was, &was) // what another part would have been chosen by is no doubt about this one
		item.ChoseOnly = true
	}
	item.Beyond = off.beyond
	return item, nil
}

// recalled compares what a job came to with what it comes to now.
func (j *Job) recalled(before, after *evaluate.Evaluation) *RecallItem {
	item := &RecallItem{
		Job: j.ID, UnitSerial: j.UnitSerial, Started: j.Started, Closed: j.Closed,
		Before: before.Outcome, After: after.Outcome, Change: changed(before, after), Results: changedResults(before, after),
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

// jobOff is what was taken off the readings of a job.
type jobOff struct {
	errors  []evaluate.TakenOff // that are independent of each other
	counted bool                // a reading of the gauge counts
	seqs    []uint64            // of its readings that count
	beyond  bool                // one lay beyond the masters
}

// withoutError takes the error of a gauge off the readings that count.
func (j foldedJob) withoutError(readings []evaluate.Reading, e gaugeError) (off jobOff, err error) {
	counts := map[string]gauge.Length{}
	sums := map[string][]recall.Part{} // of each measurement
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
			return off, fmt.Errorf("%w: job %d: reading %d is in %v, and the error of the gauge is a length", gauge.ErrRefused, j.ID, r.Seq, r.Unit)
		}
		off.counted, off.seqs = true, append(off.seqs, r.Seq)
		before := r.Value
		one := e.takenOff(r.Value, t, j.Started)
		r.Value = one.value
		if r.Upper != nil { // both ends of an interval that was typed in
			upper := *r.Upper + r.Value - before
			r.Upper = &upper
		}
		off.beyond = off.beyond || one.beyond
		sums[r.Measurement] = recall.Add(sums[r.Measurement], one.parts, 1)
	}
	off.errors = e.errors(sums, counts)
	return off, nil
}

// errors are the sums of parts as errors of the means of the measurements: a reading of
// another gauge has no share in it.
func (e gaugeError) errors(sums map[string][]recall.Part, counts map[string]gauge.Length) (errors []evaluate.TakenOff) {
	type kind struct{ number, sign int } // sign: -1 of what is unknown and was taken away
	kinds := map[kind]evaluate.TakenOff{}
	names := e.curve.PartNames()
	for name, parts := range sums {
		for _, p := range recall.Apart(parts) {
			k := kind{number: p.Number}
			if p.Unknown && p.Sigma < 0 {
				k.sign = -1
			}
			if _, known := kinds[k]; !known {
				kinds[k] = evaluate.TakenOff{Name: names[p.Number], Of: map[string]gauge.Length{}, Unknown: p.Unknown}
			}
			kinds[k].Of[name] = gauge.Length(math.RoundToEven(p.Sigma / float64(counts[name])))
		}
	}
	order := func(a, b kind) int { return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(b.sign, a.sign)) }
	for _, k := range slices.SortedFunc(maps.Keys(kinds), order) {
		errors = append(errors, kinds[k])
	}
	return errors
}
