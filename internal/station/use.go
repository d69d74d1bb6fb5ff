package station

import (
	"cmp"
	"context"
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// HealthIn returns how a gauge stands, and how many readings it gave since its last check,
// or ever. In the context of a call for trial, when that has answered, it is how the gauge
// would stand.
func (s *Station) HealthIn(ctx context.Context, gaugeID string) (h *health.Gauge, readings uint64, err error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	h, ok := s.health[gaugeID]
	if !ok {
		return nil, 0, s.noGauge(gaugeID)
	}
	g := s.gauges[gaugeID]
	if a := askedIn(ctx); a != nil && a.tried != nil {
		h, g = cmp.Or(a.tried.health[gaugeID], h), cmp.Or(a.tried.gauges[gaugeID], g)
	}
	return h, sinceCheck(g, h), nil
}

func sinceCheck(g *GaugeStatus, h *health.Gauge) uint64 {
	if g == nil || g.lastNumber < h.Use.Number {
		return 0
	}
	return g.lastNumber - h.Use.Number
}

// used notes in the draft that a job uses gauges: at its start, or with a reading.
func (d *draft) used(next *job.Job, f gauge.Fact, t job.Taken) {
	note := func(id string, change func(*health.Use)) {
		if h := d.healthOf(id); h != nil {
			changed := *h
			change(&changed.Use)
			d.health[id] = &changed
		}
	}
	switch {
	case f.Job.Kind == job.KindStarted:
		for id := range job.GaugesOf(next.Gauges) {
			note(id, func(u *health.Use) { u.Start(next.ID, f.Seq) })
		}
	case f.Job.Kind == job.KindTaken && t.Reading != nil:
		note(t.Reading.Gauge, func(u *health.Use) { u.Seq = f.Seq })
	}
}

// healthOf is the health of a gauge as the batch has it so far; nil when there is none.
func (d *draft) healthOf(id string) *health.Gauge {
	h, _ := soFar(d, func(d *draft) map[string]*health.Gauge { return d.health }, d.s.health, id)
	return h
}

// loadNumbers finds, for checks that do not say it, which number a gauge's readings
// had come to.
func (s *Station) loadNumbers(ctx context.Context) error {
	for id, h := range s.health {
		if h.Last == nil || h.Use.Number > 0 {
			continue
		}
		points := h.Last.Points
		for _, p := range points {
			for _, seq := range p.Seqs {
				f, err := s.o.Store.Reading(ctx, seq)
				if err != nil {
					if ctx.Err() != nil {
						return ctx.Err()
					}
					h.Guard(id, seq, func() error { return fmt.Errorf("reading %d: %w", seq, err) })
					break
				}
				h.Use.Number = max(h.Use.Number, f.Reading.Number)
			}
		}
	}
	return nil
}

// loadLastUse finds the last readings that the plans of gauges are to know of: those
// of the last job that used one, and of the open ones.
func (s *Station) loadLastUse(ctx context.Context) error {
	jobs := map[uint64]bool{}
	for id := range s.jobs {
		jobs[id] = true
	}
	for _, h := range s.health {
		if p := h.Plan; p != nil && (p.BeforeEach || p.AfterEach) && h.Use.Job > 0 {
			jobs[h.Use.Job] = true
		}
	}
	for id := range jobs {
		facts, err := s.o.Store.JobFacts(ctx, id)
		if err != nil {
			return fmt.Errorf("load the use of the gauges: job %d: %w", id, err)
		}
		last, err := job.LastTaken(facts)
		if err != nil {
			s.Quarantine.Has(&job.Damaged{Job: id, Why: err})
		}
		for id, seq := range last {
			if h := s.health[id]; h != nil {
				h.Use.Seq = max(h.Use.Seq, seq)
			}
		}
	}
	return nil
}
