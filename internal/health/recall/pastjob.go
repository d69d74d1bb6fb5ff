package recall

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// PastJob is a job as it was measured.
type PastJob struct {
	ID              uint64
	UnitSerial      string
	Started, Closed time.Time // Closed is zero: it is open
	Procedure       *procedure.Procedure
	Families        procedure.Families
	Input           compute.Input // with the readings that count
	// Taken is a reading as it was stored, and the one that it is measured from where the
	// value is a way between two.
	Taken func(seq uint64) (reading, from *gauge.Reading)
}

// Evaluates is evaluate.Evaluate, or that of an evaluate.Brief.
type Evaluates func(*procedure.Procedure, procedure.Parts, compute.Input) (evaluate.Evaluation, error)

// Recall evaluates a job with the error and again with it taken off; nil when it counts no
// reading of the gauge.
func (e GaugeError) Recall(j PastJob, evaluates Evaluates) (*Item, error) {
	if !j.uses(e.Gauge) {
		return nil, nil
	}
	after := j.Input
	after.Readings = slices.Clone(after.Readings)
	off, err := j.withoutError(after.Readings, e)
	if err != nil || !off.counted {
		return nil, err
	}
	was, err := evaluates(j.Procedure, j.Families, j.Input)
	if err != nil {
		return nil, gauge.At(err, "refusal.recall.at-job", gauge.Count("job", j.ID))
	}
	after.TakenOff = off.errors
	is, err := evaluates(j.Procedure, j.Families, after)
	if err != nil {
		return nil, gauge.At(err, "refusal.recall.at-job", gauge.Count("job", j.ID))
	}
	item := j.recalled(&was, &is)
	if item.ChoseOnly = evaluate.OnlyChose(j.Procedure, &was, j.Input.Readings, off.seqs); item.ChoseOnly {
		item = j.recalled(&was, &was) // what another part would have been chosen by is no doubt about this one
		item.ChoseOnly = true
	}
	if places, left := j.placed(&was, &is, off.seqs); places != nil {
		item.Results = places
		if left && !item.ChoseOnly && item.Change == Kept && is.Outcome == evaluate.Conforms {
			item.Change = Doubtful // which proof is that of the place, nobody has said
		}
	}
	item.Beyond = off.beyond
	return item, nil
}

// uses reports whether any measurement of the job is bound to the gauge.
func (j PastJob) uses(gaugeID string) bool {
	for _, id := range j.Input.Bound {
		if id == gaugeID {
			return true
		}
	}
	return false
}

// recalled compares what a job came to with what it comes to now.
func (j PastJob) recalled(before, after *evaluate.Evaluation) *Item {
	item := &Item{
		Job: j.ID, UnitSerial: j.UnitSerial, Started: j.Started, Closed: j.Closed,
		Before: before.Outcome, After: after.Outcome, Change: changed(before, after), Results: changedResults(before, after),
	}
	then, now := j.closing(before), j.closing(after)
	item.Measured, item.Word, item.Allowed, item.Unit = then.value, then.word, then.allowed, then.unit
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
	errors  []compute.TakenOff // that are independent of each other
	counted bool               // a reading of the gauge counts
	seqs    []uint64           // of its readings that count
	beyond  bool               // one lay beyond the masters
}

// withoutError takes the error of a gauge off the readings that count.
func (j PastJob) withoutError(readings []procedure.Reading, e GaugeError) (off jobOff, err error) {
	counts := map[string]gauge.Length{}
	sums := map[string][]Part{} // of each measurement
	for i := range readings {
		r := &readings[i]
		if r.Discarded != "" {
			continue
		}
		counts[r.Measurement]++
		switch {
		case r.Gauge != e.Gauge:
			continue
		case r.Unit.Kind() != gauge.KindLength:
			return off, gauge.Refused("refusal.recall.no-length", gauge.Count("job", j.ID), gauge.Count("reading", r.Seq), gauge.Text("unit", r.Unit.String()))
		}
		off.counted, off.seqs = true, append(off.seqs, r.Seq)
		before := r.Value
		reading, from := j.Taken(r.Seq)
		one := e.takenOff(r.Value, reading, from, j.Started)
		r.Value = one.value
		if r.Upper != nil { // both ends of an interval that was typed in
			upper := *r.Upper + r.Value - before
			r.Upper = &upper
		}
		off.beyond = off.beyond || one.beyond
		sums[r.Measurement] = Add(sums[r.Measurement], one.parts, 1)
	}
	off.errors = e.errors(sums, counts)
	return off, nil
}

// errors are the sums of parts as errors of the means of the measurements: a reading of
// another gauge has no share in it.
func (e GaugeError) errors(sums map[string][]Part, counts map[string]gauge.Length) (errors []compute.TakenOff) {
	type kind struct{ number, sign int } // sign: -1 of what is unknown and was taken away
	kinds := map[kind]compute.TakenOff{}
	says := e.curve.Parts()
	for name, parts := range sums {
		for _, p := range Apart(parts) {
			k := kind{number: p.Number}
			if p.Unknown && p.Sigma < 0 {
				k.sign = -1
			}
			if _, known := kinds[k]; !known {
				kinds[k] = compute.TakenOff{Name: fmt.Sprintf("%d: error taken off", p.Number), Says: says[p.Number], Of: map[string]gauge.Length{}, Unknown: p.Unknown}
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
