package station

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/fleet/recall"
	"gauged/internal/gauge"
)

// RecallRequest names a gauge that was wrong.
type RecallRequest struct {
	Gauge   string
	Error   *gauge.Length // shown less true; nil: the mean error of its last check, as found
	Growing bool          // it grew evenly from nothing; else it was the same all the time
	Since   time.Time     // zero: the last check that passed, or everything when none did
}

// Recall is what past verdicts come to when the error of a gauge is taken off its
// readings. It points at units to look at again; the verdicts themselves stand.
type Recall struct {
	Error gauge.Length // that was taken off
	Since time.Time    // zero: everything
	Until time.Time    // when the error was found; a growing one had its full size then
	Items []RecallItem // the gravest changes first

	Flipped   int // no longer conform, or conform now and were said not to
	Undecided int // cannot be decided any more
}

// RecallItem is a job that was measured with the gauge.
type RecallItem struct {
	Job        uint64
	UnitSerial string
	Started    time.Time
	Closed     time.Time // zero: it is open
	// Measured is the closing dimension as found then: the verified play; else
	// what the sum predicts for the fitted part; else the gap. Nil: there is none.
	Measured  *gauge.Length
	Corrected *gauge.Length   // the same with the error taken off
	Allowed   evaluate.Limits // of both; without ends where nothing is fitted yet
	Unit      gauge.Unit      // of the three

	Before, After evaluate.Outcome
	// Probability from 0 to 1 that the closing dimension is within its limits, with
	// the error taken off; nil when nothing is known of the gauges.
	Probability *float64

	change recall.Change
}

// Recall evaluates every job again that counts a reading of the gauge and was
// started since then, with the error taken off. What was typed in stays, and so
// does the way between two readings while the error is constant. After an
// adjustment at the last check the error is gone.
func (s *Station) Recall(ctx context.Context, r RecallRequest) (Recall, error) {
	e, err := s.gaugeError(ctx, r)
	if err != nil {
		return Recall{}, err
	}
	result := Recall{Error: e.error, Since: e.since, Until: e.until}
	files := &fileCache{store: s.o.Store}
	err = s.eachStart(ctx, func(f gauge.Fact) error {
		if f.Job.Time.Before(e.since) || e.gone && !f.Job.Time.Before(e.until) {
			return nil
		}
		if used, err := startedWith(f.Job, e.gauge); err != nil || !used {
			return err
		}
		item, err := s.recallJob(ctx, f.Job.Job, e, files)
		if err != nil || item == nil {
			return err
		}
		result.add(*item)
		return nil
	})
	if err != nil {
		return Recall{}, fmt.Errorf("recall of gauge %s: %w", r.Gauge, err)
	}
	slices.SortFunc(result.Items, graver)
	return result, nil
}

func (r *Recall) add(item RecallItem) {
	r.Items = append(r.Items, item)
	switch item.change {
	case recall.Flipped:
		r.Flipped++
	case recall.Doubtful:
		r.Undecided++
	}
}

// graver orders as recall.Order does; of a job whose gauges nothing is known of
// there is no probability, and it comes last among its like.
func graver(a, b RecallItem) int {
	const certainly = 2
	probability := func(i RecallItem) float64 {
		if i.Probability == nil {
			return certainly
		}
		return *i.Probability
	}
	return cmp.Or(cmp.Compare(a.change, b.change), cmp.Compare(probability(a), probability(b)), cmp.Compare(a.Job, b.Job))
}

// eachStart calls f with the start of every job, in their order.
func (s *Station) eachStart(ctx context.Context, f func(gauge.Fact) error) error {
	const page = 10_000
	for after := uint64(0); ; {
		starts, err := s.o.Store.JobStarts(ctx, after, page)
		if err != nil {
			return err
		}
		for _, start := range starts {
			after = start.Job.Job
			if err := f(start); err != nil {
				return err
			}
		}
		if len(starts) < page {
			return nil
		}
	}
}

// startedWith reports whether a job was started with a gauge; it takes readings
// of no other. Most jobs were not, and need not be decoded to tell.
func startedWith(f *gauge.JobFact, gaugeID string) (bool, error) {
	name, err := json.Marshal(gaugeID)
	if err != nil || !bytes.Contains(f.Data, name) {
		return false, err
	}
	data, err := unmarshal[startedData](f)
	if err != nil {
		return false, err
	}
	for _, id := range data.Gauges {
		if id == gaugeID {
			return true, nil
		}
	}
	return false, nil
}

// tenThousandths is what a probability counts.
const tenThousandths = 10_000

// recallJob evaluates one job again; nil when it counts no reading of the gauge.
func (s *Station) recallJob(ctx context.Context, id uint64, e gaugeError, files *fileCache) (*RecallItem, error) {
	j, err := s.stands(ctx, id, files)
	if err != nil {
		return nil, err
	}
	readings, counted, err := s.withoutError(ctx, j, e)
	if err != nil || !counted {
		return nil, err
	}
	after, err := j.comesTo(readings)
	if err != nil {
		return nil, err
	}
	item := &RecallItem{
		Job: id, UnitSerial: j.UnitSerial, Started: j.Started, Closed: j.Closed,
		Before: j.Evaluation.Outcome, After: after.Outcome, change: changed(&j.Evaluation, &after),
	}
	then, now := j.closing(&j.Evaluation), j.closing(&after)
	item.Measured, item.Allowed, item.Unit = then.value, then.allowed, then.unit
	if now.what == then.what {
		item.Corrected, item.Allowed = now.value, now.allowed
	}
	if now.probability != nil {
		p := float64(*now.probability) / tenThousandths
		item.Probability = &p
	}
	return item, nil
}

// withoutError returns the counting readings of a job with the error of a gauge
// taken off, and whether any is of that gauge.
func (s *Station) withoutError(ctx context.Context, j *Job, e gaugeError) (readings []evaluate.Reading, counted bool, err error) {
	readings = j.counting()
	for i := range readings {
		r := &readings[i]
		if r.Gauge != e.gauge || r.Discarded != "" {
			continue
		}
		t, err := s.loadTaken(ctx, takenData{Reading: r.Seq, From: r.From})
		switch {
		case err != nil:
			return nil, false, fmt.Errorf("job %d: %w", j.ID, err)
		case t.reading.EnteredBy != "":
			continue
		case r.Unit.Kind() != gauge.KindLength:
			return nil, false, fmt.Errorf("%w: job %d: reading %d is in %v, and the error of the gauge is a length", ErrRefused, j.ID, r.Seq, r.Unit)
		}
		counted = true
		r.Value = e.takenOff(r.Value, t, j.Started)
	}
	return readings, counted, nil
}
