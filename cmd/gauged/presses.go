package main

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"gauged/internal/config"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/station"
)

// twiceWithin is how soon after a press another one for the same is an
// accident of the foot, where it would skip a step or discard a second reading.
const twiceWithin = time.Second

// presses does what presses are for, one after the other. A press that comes
// while another is at work is none: nobody has seen yet what the first one did.
type presses struct {
	of   map[string]station.Press // by the id of the switch or gauge, as far as it is known beforehand
	wait chan station.Press
	mu   sync.Mutex // guards last
	last map[pressed]time.Time
	do   func(context.Context, station.Press) error
	log  *slog.Logger
}

// pressed is one key of a switch.
type pressed struct {
	from  string
	means gauge.Meaning
}

func newPresses(c *config.Config, st *station.Station, log *slog.Logger) *presses {
	p := &presses{of: map[string]station.Press{}, last: map[pressed]time.Time{}, wait: make(chan station.Press), do: st.Press, log: log}
	for _, g := range c.Gauges {
		if g.Press != "" && g.Press != gauge.MeansCapture {
			p.of[g.ID] = station.Press{From: g.ID, Means: g.Press, Gauges: []string{g.ID}}
		}
	}
	for _, s := range c.Switches {
		p.of[s.ID] = station.Press{From: s.ID, Gauges: s.Gauges}
	}
	return p
}

// hear passes on what is a press: of a switch, or of a data button that is for
// something else than its reading.
func (p *presses) hear(e devices.Event) {
	var press station.Press
	var at time.Time
	switch {
	case e.Press != nil:
		press, at = p.of[e.Press.Switch], e.Press.Time
		press.Means = e.Press.Means
	case e.Reading != nil && p.of[e.Reading.Gauge].Means != "":
		press, at = p.of[e.Reading.Gauge], e.Reading.Time
	default:
		return
	}
	key := pressed{press.From, press.Means}
	p.mu.Lock()
	twice := press.Means != gauge.MeansCapture && at.Sub(p.last[key]) < twiceWithin
	p.last[key] = at
	p.mu.Unlock()
	if twice {
		p.log.Warn("a press was not heeded: it came twice", "switch", press.From, "means", press.Means)
		return
	}
	select {
	case p.wait <- press:
	default:
		p.log.Warn("a press was not heeded: another is at work", "switch", press.From, "means", press.Means)
	}
}

func (p *presses) run(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case press := <-p.wait:
			if err := p.do(ctx, press); err != nil && ctx.Err() == nil {
				p.log.Info("a press did nothing", "switch", press.From, "means", press.Means, "why", err)
			}
		}
	}
}
