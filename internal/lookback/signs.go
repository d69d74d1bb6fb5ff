package lookback

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"gauged/internal/evaluate/capture"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/signs"
	"gauged/internal/job"
)

// signReadings, signChecks and signJobs are how far back a look goes. Zero returns are
// checks too, and there are several a day.
const (
	signReadings = 1000
	signChecks   = 200
	signJobs     = 20
)

// signStore is the history as looks for signs read it.
type signStore interface {
	job.StepStore
	Readings(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
	// RecentReadings returns the newest readings of a gauge, oldest first.
	RecentReadings(ctx context.Context, gaugeID string, count int) ([]gauge.Fact, error)
	Rejects(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
	// RecentGaugeFacts returns the newest things that happened to a gauge, oldest first.
	RecentGaugeFacts(ctx context.Context, gaugeID string, count int) ([]gauge.Fact, error)
	// RecentWith returns the starts of the newest jobs that took a reading of a gauge, in rising order.
	RecentWith(ctx context.Context, gaugeID string, count int) ([]gauge.Fact, error)
}

// looks is what looks for signs share, one at a time.
type looks struct {
	mu    sync.Mutex
	files *job.Files // procedures of the jobs that were looked at
}

// Signs looks for what a failing gauge shows in its own newest readings, in its
// checks, and in the jobs that it measured.
func (r *Reader) Signs(ctx context.Context, gaugeID string) ([]signs.Sign, error) {
	h, err := r.Look(ctx, gaugeID)
	if err != nil {
		return nil, err
	}
	return signs.Look(h), nil
}

// Look is what there is to look at.
func (r *Reader) Look(ctx context.Context, gaugeID string) (signs.History, error) {
	known, err := r.station.Beforehand(gaugeID)
	if err != nil {
		return signs.History{}, err
	}
	r.looks.mu.Lock()
	defer r.looks.mu.Unlock()
	h, err := lookedAt(ctx, r.store, r.looks.files, &r.Quarantine, gaugeID, known)
	if err != nil {
		return h, fmt.Errorf("signs of gauge %s: %w", gaugeID, err)
	}
	return h, nil
}

// lookedAt loads what there is to look at.
func lookedAt(ctx context.Context, store signStore, files *job.Files, aside *job.Quarantine, gaugeID string, known signs.Gauge) (h signs.History, err error) {
	h.Gauge = known
	readings, err := store.RecentReadings(ctx, gaugeID, signReadings)
	if err != nil {
		return h, err
	}
	for _, f := range readings {
		h.Readings = append(h.Readings, f.Reading)
	}
	if known.Mode == gauge.ModeStream && len(readings) > 0 {
		rejects, err := store.Rejects(ctx, gaugeID, readings[0].Seq, signReadings)
		if err != nil {
			return h, err
		}
		h.Rejects = len(rejects)
	}
	facts, err := store.RecentGaugeFacts(ctx, gaugeID, 2*signChecks) // a check has a begin
	if err != nil {
		return h, err
	}
	if h.Checks, err = health.ChecksIn(facts); err != nil && !errors.As(err, new(*health.Damaged)) {
		return h, err
	}
	h.Checks = h.Checks[max(len(h.Checks)-signChecks, 0):]
	starts, err := store.RecentWith(ctx, gaugeID, signJobs)
	if err != nil {
		return h, err
	}
	jobs, err := job.FoldAll(ctx, store, starts, files, aside)
	if err != nil {
		return h, err
	}
	err = aside.Each(ctx, jobs, func(j job.Folded) (err error) {
		m := measured(j, gaugeID)
		if m.Movements, err = movements(ctx, store, gaugeID, j); err != nil {
			return err
		}
		h.Jobs = append(h.Jobs, m)
		return nil
	})
	return h, err
}

// measured is what the lengths of a job say, by measurement.
func measured(j job.Folded, gaugeID string) signs.Job {
	m := signs.Job{Procedure: j.Procedure.ID, Plausible: plausible(j.Procedure), Values: map[string][]gauge.Length{}, Own: map[string][]gauge.Length{}}
	for _, counts := range []bool{true, false} {
		found := map[string]bool{}
		for _, r := range j.Taken {
			if r.Unit.Kind() != gauge.KindLength || (r.Discarded == "") != counts {
				continue
			}
			// What was discarded says something where nothing counts.
			if counts || len(m.Values[r.Measurement]) == 0 || found[r.Measurement] {
				found[r.Measurement] = true
				m.Values[r.Measurement] = append(m.Values[r.Measurement], r.Value)
				if r.Gauge == gaugeID {
					m.Own[r.Measurement] = append(m.Own[r.Measurement], r.Value)
				}
			}
		}
	}
	return m
}

// movements reads the stream of a gauge during the captures of a job.
func movements(ctx context.Context, store signStore, gaugeID string, j job.Folded) ([]signs.Movement, error) {
	var all []signs.Movement
	for _, m := range spans(j, gaugeID) {
		count := min(m.last-m.first+1, streamAtMost) // of all that was stored meanwhile; others' are among it
		facts, err := store.Readings(ctx, gaugeID, m.first-1, int(count))
		if err != nil {
			return nil, err
		}
		for _, f := range facts {
			if f.Seq <= m.last {
				m.Values = append(m.Values, f.Reading.Value)
			}
		}
		all = append(all, m.Movement)
	}
	return all, nil
}

// plausible are the ranges of a procedure that have both ends.
func plausible(p *procedure.Procedure) map[string]signs.Range {
	ranges := map[string]signs.Range{}
	for _, step := range slices.Concat(p.Measure, p.Verify) {
		if l := step.Plausible; l.Min != nil && l.Max != nil {
			ranges[step.Name] = signs.Range{Low: *l.Min, High: *l.Max}
		}
	}
	return ranges
}

// span is a movement that is still to be read, by the numbers of its ends.
type span struct {
	signs.Movement
	first, last uint64
}

// spans are the strokes and turns that a job took from a gauge.
func spans(j job.Folded, gaugeID string) []span {
	var all []span
	turns := map[string]job.Taken{} // the first reading of a turn that is not over, by measurement
	begun := map[string]uint64{}
	for _, r := range j.Taken {
		step, _, ok := j.Procedure.Step(r.Measurement)
		if !ok || step.Moving == nil || r.Gauge != gaugeID || j.Named[r.Seq].Reading == nil {
			continue
		}
		now := j.Named[r.Seq]
		switch step.Moving.Kind {
		case procedure.MovingEndStops:
			if now.From != nil {
				all = append(all, span{signs.Movement{Measurement: r.Measurement, From: now.From.Value, To: now.Reading.Value, Stroke: true}, r.From, r.Seq})
			}
		case procedure.MovingTurn: // its last reading comes when it was watched for long enough
			first, open := turns[r.Measurement]
			if !open {
				turns[r.Measurement], begun[r.Measurement] = now, r.Seq
				continue
			}
			if now.Reading.Time.Sub(first.Reading.Time) >= capture.TurnLasts {
				all = append(all, span{signs.Movement{Measurement: r.Measurement, From: first.Reading.Value, To: now.Reading.Value}, begun[r.Measurement], r.Seq})
				delete(turns, r.Measurement)
			}
		}
	}
	return all
}

// streamAtMost bounds what is read of one movement.
const streamAtMost = 2000
