package station

import (
	"cmp"
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/recall"
)

// RecallRequest names a gauge that was wrong.
type RecallRequest struct {
	Gauge    string
	Model    ErrorModel     // how the error came about; empty: constant
	Error    *gauge.Length  // shown less true, the same at every reading; nil: see Points
	Standard *gauge.Length  // standard uncertainty of Error; nil: that of the check, and none for an error that is given
	Points   []recall.Point // the error at several readings; empty, and without Error: that of its newest failed check since then, else of its last, as found; or what the jobs tell
	Since    time.Time      // zero: the last check before that which passed, or everything when none did
}

// Recall is what past verdicts come to when the error of a gauge is taken off its
// readings. It points at units to look at again; the verdicts themselves stand.
type Recall struct {
	Model ErrorModel
	Curve []recall.Point // the error that was taken off, in its full size; one point: the same at every reading
	Since time.Time      // zero: everything
	Until time.Time      // when the error was found; a growing one had its full size then
	Ended time.Time      // when the gauge was good again: adjusted at Until, or a later check passed; zero: it is not
	Check *check.Record  // that found it; nil: it was given, or the jobs tell it
	Items []RecallItem   // the gravest changes first

	Flipped   int // no longer conform, or conform now and were said not to
	Undecided int // cannot be decided any more
	Beyond    int // have readings beyond the masters
	ByLimits  int // are decided by the limits alone, as nothing is known of the gauges
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
	// the error taken off; nil when nothing is known of the gauges: the limits decided by
	// themselves.
	Probability *float64
	Beyond      bool // a reading lay beyond the masters: see recall.Curve

	Change recall.Change

	// ChoseOnly: the gauge only chose the part. The verdict stands on a proof that was
	// measured without it.
	ChoseOnly bool

	Results []RecallResult // that are judged and whose outcome is another one now
}

// Correction is Corrected less Measured; nil where one of them is.
func (i RecallItem) Correction() *gauge.Length { return less(i.Corrected, i.Measured) }

// jobSpan is how many jobs are looked through by one read.
const jobSpan = 2000

// Recall evaluates every job again that counts a reading of the gauge and was
// started since then, with the error taken off that the gauge has where it was read. What was typed in without a gauge stays, and so
// does the way between two readings while the error is constant. After an
// adjustment, or a check that passed since, the error is gone. It reads and computes on all
// processors, but two at most, as many reads as the history does at once.
func (s *Station) Recall(ctx context.Context, r RecallRequest) (Recall, error) {
	e, err := s.gaugeError(ctx, r)
	if err != nil {
		return Recall{}, err
	}
	items, err := s.recallItems(ctx, e)
	if err != nil {
		return Recall{}, fmt.Errorf("recall of gauge %s: %w", r.Gauge, err)
	}
	result := Recall{
		Model: e.model, Curve: e.curve.Points(), Since: e.since, Until: e.until, Ended: e.ended, Check: e.check,
	}
	for _, item := range items {
		result.add(item)
	}
	slices.SortFunc(result.Items, graver)
	return result, nil
}

// recallItems recalls all jobs, a span of them at a time.
func (s *Station) recallItems(ctx context.Context, e gaugeError) ([]RecallItem, error) {
	s.mu.RLock()
	last := s.lastJob
	s.mu.RUnlock()
	var mu sync.Mutex
	var items []RecallItem
	var spans atomic.Uint64 // that somebody took
	work, ctx := errgroup.WithContext(ctx)
	for range min(2, runtime.GOMAXPROCS(0)) {
		work.Go(func() error {
			w := &recaller{s: s, e: e, files: &fileCache{store: s.o.Store}, brief: evaluate.NewBrief()}
			for {
				after := (spans.Add(1) - 1) * jobSpan
				if after >= last {
					return nil
				}
				starts, err := s.o.Store.StartsWith(ctx, e.gauge, e.since, after, jobSpan)
				if err != nil {
					return err
				}
				found, err := w.recall(ctx, starts)
				if err != nil {
					return err
				}
				mu.Lock()
				items = append(items, found...)
				mu.Unlock()
			}
		})
	}
	return items, work.Wait()
}

// Adjusted reports whether the gauge was adjusted when the error was found.
func (r Recall) Adjusted() bool { return !r.Ended.IsZero() && r.Ended.Equal(r.Until) }

// Largest is the largest error that was taken off.
func (r Recall) Largest() recall.Point {
	return slices.MaxFunc(r.Curve, func(a, b recall.Point) int { return cmp.Compare(a.Error.Abs(), b.Error.Abs()) })
}

func (r *Recall) add(item RecallItem) {
	r.Items = append(r.Items, item)
	if item.Beyond {
		r.Beyond++
	}
	if item.Probability == nil {
		r.ByLimits++
	}
	switch item.Change {
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
	return cmp.Or(cmp.Compare(a.Change, b.Change), cmp.Compare(probability(a), probability(b)), cmp.Compare(a.Job, b.Job))
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
