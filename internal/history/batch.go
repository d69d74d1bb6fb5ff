package history

import (
	"context"
	"fmt"
	"math"
	"time"

	"gauged/internal/gauge"
)

// StartsWith returns the starts of the jobs after one, as many jobs as span says,
// that took a reading of a gauge and were not started before a time; zero: at
// any time. Others are not looked at. Large numbers of jobs are asked for in
// spans, so that no read lasts.
func (s *Store) StartsWith(ctx context.Context, gaugeID string, since time.Time, afterJob, span uint64) (facts []gauge.Fact, err error) {
	const condition = "kind = 'started' AND job IN (SELECT job FROM job_gauges WHERE gauge = ? AND job > ? AND job <= ?) AND coalesce(time, ?) >= ?"
	const ever = int64(math.MinInt64)
	from := ever
	if !since.IsZero() && since.Year() > 1700 { // what nanoseconds can say
		from = since.UnixNano()
	}
	after := bound(afterJob)
	err = s.read(ctx, "starts of jobs", func(r *reader) error {
		facts, err = r.scan(0, jobTable, tables[jobTable].ordered(condition, "job"),
			gaugeID, after, after+bound(span), ever, from, int64(math.MaxInt64))
		return err
	})
	return facts, err
}

// RecentWith returns the starts of the newest jobs that took a reading of a gauge, at
// most count, in rising order.
func (s *Store) RecentWith(ctx context.Context, gaugeID string, count int) (facts []gauge.Fact, err error) {
	const condition = "kind = 'started' AND job IN (SELECT job FROM job_gauges WHERE gauge = ? ORDER BY job DESC LIMIT ?)"
	_, count = page(0, count)
	err = s.read(ctx, "newest jobs with "+gaugeID, func(r *reader) error {
		facts, err = r.scan(0, jobTable, tables[jobTable].ordered(condition, "job"), gaugeID, int64(count), int64(math.MaxInt64))
		return err
	})
	return facts, err
}

// StepsOf returns for each start of a job the start and what followed it, in
// order, without the steps of a kind.
func (s *Store) StepsOf(ctx context.Context, starts []gauge.Fact, without string) ([][]gauge.Fact, error) {
	steps := make([][]gauge.Fact, len(starts))
	err := s.read(ctx, "steps of jobs", func(r *reader) error {
		for i, start := range starts {
			later, err := r.facts(jobTable, "job = ? AND seq > ? AND kind <> ?", math.MaxInt, bound(start.Job.Job), bound(start.Seq), without)
			if err != nil {
				return err
			}
			steps[i] = append([]gauge.Fact{start}, later...)
		}
		return nil
	})
	return steps, err
}

// ReadingsAt returns the readings that are the facts of these numbers, in their
// order, or ErrNotFound.
func (s *Store) ReadingsAt(ctx context.Context, seqs []uint64) ([]gauge.Fact, error) {
	found := make([]gauge.Fact, len(seqs))
	err := s.read(ctx, "readings", func(r *reader) error {
		for i, seq := range seqs {
			facts, err := r.facts(readingTable, "seq = ?", 1, bound(seq))
			if err := notFound(facts, err); err != nil {
				return fmt.Errorf("reading %d: %w", seq, err)
			}
			found[i] = facts[0]
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return found, nil
}
