package station

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// CaptureRequest takes the present reading of a gauge into a job.
type CaptureRequest struct {
	Job         uint64
	Measurement string // empty: the one that is due
	Gauge       string // empty: the gauge of the measurement
	By          string
}

// Capture takes the gauge's newest reading, when it is fresh. A polled gauge
// is asked first. Where the procedure captures from a moving indicator, it takes
// what the motion gives.
func (s *Station) Capture(ctx context.Context, r CaptureRequest) (*job.Job, gauge.Fact, error) {
	if moving, err := s.moves(ctx, r); err != nil || moving {
		if err != nil {
			return nil, gauge.Fact{}, err
		}
		j, facts, err := s.CaptureMotion(ctx, r, nil)
		if err != nil {
			return nil, gauge.Fact{}, err
		}
		return j, facts[len(facts)-1], nil
	}
	after, err := s.askFor(ctx, r)
	if err != nil {
		return nil, gauge.Fact{}, err
	}
	var f gauge.Fact
	j, err := s.change(ctx, func(d *draft) (*job.Job, error) {
		j, err := d.openJob(r.Job)
		if err != nil {
			return nil, err
		}
		measurement := cmp.Or(r.Measurement, j.Measuring)
		gaugeID := r.from(j, measurement)
		if gaugeID == "" {
			return nil, noGauge(j, measurement)
		}
		if f, err = d.fresh(gaugeID); err != nil {
			return nil, err
		}
		if f.Seq <= after {
			return nil, gauge.Refused("refusal.gauge.no-new-reading", gauge.Text("gauge", gaugeID))
		}
		if err := d.take(j, measurement, f, r.By); err != nil {
			return nil, err
		}
		return d.jobs[j.ID], nil
	})
	return j, f, err
}

// noGauge says that no gauge is known from which a measurement could be captured.
func noGauge(j *job.Job, measurement string) error {
	if measurement == "" {
		return gauge.Refused("refusal.reading.no-gauge-due", gauge.Count("job", j.ID))
	}
	return gauge.Refused("refusal.reading.no-gauge", gauge.Text("measurement", measurement), gauge.Count("job", j.ID))
}

// moves reports whether the measurement is captured from a moving indicator.
func (s *Station) moves(ctx context.Context, r CaptureRequest) (bool, error) {
	j, err := s.Job(ctx, r.Job)
	if err != nil {
		return false, err
	}
	if err := j.OnBench(); err != nil {
		return false, err
	}
	step, _, _ := j.Procedure.Step(cmp.Or(r.Measurement, j.Measuring))
	return step.Moving != nil, nil
}

// fresh returns a gauge's newest reading, unless the gauge is not live or the
// reading is too old to be the present position.
func (d *draft) fresh(id string) (gauge.Fact, error) {
	g := d.gauge(id)
	of := gauge.Text("gauge", id)
	switch {
	case g.Mode == "":
		return gauge.Fact{}, d.s.noGauge(id)
	case g.Mode == gauge.ModeTyped:
		return gauge.Fact{}, gauge.Refused("refusal.gauge.no-connection", of)
	case g.Mode == gauge.ModeButton:
		return gauge.Fact{}, gauge.Refused("refusal.gauge.press", of)
	case g.State != gauge.StateLive && !g.Outside:
		args := []gauge.Arg{of, gauge.WordOf("state", "state", g.State), gauge.Span("age", d.s.o.Now().Sub(g.Since))}
		if !g.Reason.IsZero() {
			args = append(args, gauge.Nested("why", g.Reason))
		}
		return gauge.Fact{}, gauge.Refused("refusal.gauge.not-live", args...)
	case g.Last.Reading == nil:
		return gauge.Fact{}, gauge.Refused("refusal.gauge.nothing-yet", of)
	}
	if g.Outside {
		return d.freshFromOutside(g)
	}
	// A clock that was set back makes what is old lie ahead.
	if age := d.s.o.Now().Sub(g.Last.Reading.Time).Abs(); g.Fresh > 0 && age > g.Fresh {
		return gauge.Fact{}, gauge.Refused("refusal.gauge.not-fresh", of, gauge.Span("age", age))
	}
	return g.Last, nil
}

// askFor makes a polled gauge of the measurement send a reading, and returns
// the number of the history after which it must come. Other gauges are left
// alone, and anything may come before.
func (s *Station) askFor(ctx context.Context, r CaptureRequest) (after uint64, err error) {
	j, err := s.Job(ctx, r.Job)
	if err != nil {
		return 0, err
	}
	return s.askGauge(ctx, r.from(j, cmp.Or(r.Measurement, j.Measuring)))
}

// from is the gauge of a capture: the one that is named, that of the measurement, or
// when none is due the one gauge of the job, for its zero return.
func (r CaptureRequest) from(j *job.Job, measurement string) string {
	if r.Gauge != "" || measurement != "" {
		return cmp.Or(r.Gauge, j.Gauges[measurement])
	}
	if ids := slices.Collect(maps.Keys(job.GaugesOf(j.Gauges))); len(ids) == 1 {
		return ids[0]
	}
	return ""
}

// askGauge makes a polled gauge send a reading, and returns the number of the
// history after which it must come. Other gauges are left alone.
func (s *Station) askGauge(ctx context.Context, id string) (after uint64, err error) {
	if s.o.Ask == nil || !s.has(id, gauge.ModePoll) {
		return 0, nil
	}
	after = s.Newest()
	cursor := s.Watch(after)
	if err := s.o.Ask(ctx, id); err != nil {
		return 0, gauge.Refused("refusal.gauge.asked", gauge.Text("gauge", id), gauge.Because("why", err))
	}
	// The answer has been reported; it becomes durable with the next commit.
	for {
		page, err := cursor.Next(ctx)
		if err != nil {
			return 0, err
		}
		for _, f := range page.Facts {
			if f.Reading != nil && f.Reading.Gauge == id {
				return after, nil
			}
		}
	}
}

// has reports whether a gauge has a mode.
func (s *Station) has(id string, m gauge.Mode) bool {
	g, ok := s.configured(id)
	return ok && g.Mode == m
}

// configured is what is known of a gauge beforehand; false: it was never seen.
func (s *Station) configured(id string) (GaugeInfo, bool) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	g, ok := s.gauges[id]
	if !ok {
		return GaugeInfo{}, false
	}
	return g.GaugeInfo, true
}
