package main

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// pressQueue does what presses are for, one after the other. A press that comes
// while another is at work is none: nobody has seen yet what the first one did.
type pressQueue struct {
	wait chan station.Press
	mu   sync.Mutex // guards last
	last map[pressed]gauge.Repeat
	do   func(context.Context, station.Press) error
	log  *slog.Logger
}

// pressed is one key of a switch.
type pressed struct {
	from  string
	means gauge.Meaning
}

// newPressQueue has do called for each press that is heeded, while Run runs.
func newPressQueue(do func(context.Context, station.Press) error, log *slog.Logger) *pressQueue {
	return &pressQueue{wait: make(chan station.Press), last: map[pressed]gauge.Repeat{}, do: do, log: log}
}

// Hear takes a press, or says in the log why not.
func (p *pressQueue) Hear(press station.Press, at time.Time) {
	if p.twice(press, at) {
		p.log.Warn("a press was not heeded: it came twice", "switch", press.From, "means", press.Means)
		return
	}
	select {
	case p.wait <- press:
	default:
		p.log.Warn("a press was not heeded: another is at work", "switch", press.From, "means", press.Means)
	}
}

// twice reports whether the press takes a step that the one just before took.
func (p *pressQueue) twice(press station.Press, at time.Time) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	key := pressed{press.From, press.Means}
	last := p.last[key]
	soon := last.Soon("", at, gauge.TwiceWithin)
	p.last[key] = last
	return soon && press.Means != gauge.MeansCapture
}

// Run does what is heard until ctx ends.
func (p *pressQueue) Run(ctx context.Context) {
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
