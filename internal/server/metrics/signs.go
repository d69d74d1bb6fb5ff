package metrics

import (
	"cmp"
	"context"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/signs"
	"gauged/internal/station"
)

// signsEvery is how often the gauges are looked at for signs of a fault. A look reads
// some thousand rows of the history, and a gauge of which nothing came is left out.
const signsEvery = time.Minute

// seen is what was looked at, and what was found.
type seen struct {
	reading uint64
	health  *health.Gauge
	signs   []signs.Sign
}

// followSigns looks at one gauge after the other, at once and again and again,
// until ctx ends.
func (m *Metrics) followSigns(ctx context.Context) {
	every := time.NewTicker(cmp.Or(m.o.SignsEvery, signsEvery))
	defer every.Stop()
	for {
		for _, g := range m.o.Station.Gauges() {
			if err := m.lookAt(ctx, g); err != nil && ctx.Err() == nil {
				m.o.Log.Warn("a gauge cannot be looked at for signs of a fault", "gauge", g.ID, "error", err)
			}
		}
		select {
		case <-every.C:
		case <-ctx.Done():
			return
		}
	}
}

// lookAt looks at a gauge when something new is known of it.
func (m *Metrics) lookAt(ctx context.Context, g station.GaugeStatus) error {
	h, err := m.o.Station.Health(g.ID)
	if err != nil || g.Mode == gauge.ModeSwitch {
		return err
	}
	m.mu.Lock()
	before, known := m.signs[g.ID]
	m.mu.Unlock()
	if known && before.reading == g.Last.Seq && before.health == h {
		return nil
	}
	signs, err := m.o.Station.Signs(ctx, g.ID)
	if err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.signs[g.ID] = seen{g.Last.Seq, h, signs}
	return nil
}

// collectSigns shows what the last look at a gauge found.
func (m *Metrics) collectSigns(ch chan<- prometheus.Metric, id string) {
	m.mu.Lock()
	signs := m.signs[id].signs
	m.mu.Unlock()
	for _, s := range signs {
		if s.Refused.IsZero() {
			sample(ch, signDesc, prometheus.GaugeValue, oneIf(s.Found), id, string(s.Kind))
		}
	}
}
