package lookback

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/jobs"
	"gauged/internal/health/recall"
	"gauged/internal/job"
)

// recallStore is the history as a recall reads it.
type recallStore interface {
	job.StepStore
	job.FileStore
	// StartsWith returns the starts of a span of jobs that took a reading of a gauge.
	StartsWith(ctx context.Context, gaugeID string, since time.Time, afterJob, span uint64) ([]gauge.Fact, error)
}

// jobSpan is how many jobs are looked through by one read.
const jobSpan = 2000

// Recall evaluates every job again that counts a reading of the gauge and was
// started since then, with the error taken off that the gauge has where it was read. What was typed in without a gauge stays, and so
// does the way between two readings while the error is constant. After an
// adjustment, or a check that passed since, the error is gone. It reads and computes on all
// processors, but two at most, as many reads as the history does at once.
func (r *Reader) Recall(ctx context.Context, ask recall.Request) (recall.List, error) {
	e, err := ask.Settle(r.Known(ctx, ask.Gauge))
	if err != nil {
		return recall.List{}, err
	}
	return r.RecallWith(ctx, e)
}

// RecallWith is Recall with an error that is settled.
func (r *Reader) RecallWith(ctx context.Context, e recall.GaugeError) (recall.List, error) {
	items, err := recallItems(ctx, r.store, r.station.LastJob(), e)
	if err != nil {
		return recall.List{}, fmt.Errorf("recall of gauge %s: %w", e.Gauge, err)
	}
	return e.List(items), nil
}

// Known is what a recall is settled by.
func (r *Reader) Known(ctx context.Context, gaugeID string) recall.Known {
	return recall.Known{
		Now:    r.now(),
		Checks: func() ([]*check.Record, error) { return r.station.Checks(ctx, gaugeID) },
		Work:   func() ([]jobs.Point, error) { return r.workTrack(ctx, gaugeID) },
	}
}

// recallItems recalls the jobs up to the last, a span of them at a time.
func recallItems(ctx context.Context, store recallStore, last uint64, e recall.GaugeError) ([]recall.Item, error) {
	var mu sync.Mutex
	var items []recall.Item
	var spans atomic.Uint64 // that somebody took
	work, ctx := errgroup.WithContext(ctx)
	for range min(2, runtime.GOMAXPROCS(0)) {
		work.Go(func() error {
			w := &recaller{store: store, e: e, files: job.NewFiles(store), brief: evaluate.NewBrief()}
			for {
				after := (spans.Add(1) - 1) * jobSpan
				if after >= last {
					return nil
				}
				starts, err := store.StartsWith(ctx, e.Gauge, e.Since, after, jobSpan)
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
