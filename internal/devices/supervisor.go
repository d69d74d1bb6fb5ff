package devices

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/retry"
)

const (
	// lookEvery is how often the port of an absent gauge is looked for, should
	// the kernel not tell.
	lookEvery = 500 * time.Millisecond
	// grace is how long a port that has just appeared may be refused: the kernel
	// makes it, and a moment later a rule gives it to its group.
	grace      = 3 * time.Second
	graceEvery = 100 * time.Millisecond
)

// Errors of Supervisor.Ask.
var (
	ErrNotPolled = errors.New("the gauge cannot be asked: its mode is not poll")
	ErrNoAnswer  = errors.New("the gauge did not answer")
	ErrStopped   = errors.New("the gauge's supervisor has stopped")
)

// Supervisor keeps one line open, with the gauge on it or the several gauges
// that stand behind it, and reports what comes in. It copes with a port that is
// absent, refused, unplugged or full of noise; what happens to one line does
// not touch another.
type Supervisor struct {
	lanes     []*lane
	byChannel map[string]*lane // nil when the frames of the line have no channel
	dialer    Dialer
	ports     *Ports
	log       *slog.Logger

	serve     func(context.Context, Port) error // works on an open port until it fails, or ctx ends
	asks      chan ask
	stopped   chan struct{}
	appeared  time.Time    // when the port was first seen since it was absent
	backoff   retry.Pauses // only a valid frame resets it: a port that opens and then fails at once is no success
	strangers *thinner     // of frames whose channel no gauge has
}

// again is how long a port that failed is left alone.
var again = retry.Pauses{First: 250 * time.Millisecond, Longest: 15 * time.Second}

// ask is a wish for a reading of one gauge; it is answered once.
type ask struct {
	lane   *lane
	answer chan error
}

// NewSupervisor returns the supervisor of the gauges on one line (see ByLine).
// The sink is called from Run's goroutine, one event at a time, in the order of
// what happened; while it works little is read ahead. It must not call Ask. With nil
// for ports an absent gauge is only looked for now and then.
func NewSupervisor(gauges []Gauge, d Dialer, ports *Ports, sink func(Event), log *slog.Logger) *Supervisor {
	s := &Supervisor{
		backoff: again,
		dialer:  d, ports: ports, log: log, asks: make(chan ask), stopped: make(chan struct{}),
		strangers: newThinner(sink, strangerWindow, strangerFirst),
	}
	for _, g := range gauges {
		l := newLane(g, sink, log)
		s.lanes = append(s.lanes, l)
		if g.Layout.ChannelInFrame() {
			if s.byChannel == nil {
				s.byChannel = map[string]*lane{}
			}
			s.byChannel[g.Channel] = l
		}
	}
	s.serve = func(ctx context.Context, port Port) error {
		session := newSession(s, port)
		defer session.close()
		return session.run(ctx)
	}
	return s
}

// Run supervises the line until ctx ends, and returns with the port closed. It
// may be called once.
func (s *Supervisor) Run(ctx context.Context) {
	defer close(s.stopped)
	for ctx.Err() == nil {
		plugged := s.ports.Changed()
		if !s.dialer.Present() {
			s.absent(ctx, plugged)
			continue
		}
		if s.appeared.IsZero() {
			s.appeared = time.Now()
		}
		err := s.connect(ctx)
		if ctx.Err() != nil {
			return
		}
		plugged = s.ports.Changed()
		switch {
		case !s.dialer.Present():
			s.absent(ctx, plugged)
		case errors.Is(err, fs.ErrPermission) && time.Since(s.appeared) < grace:
			s.enter(gauge.StateOpening, gauge.Say("because.line.appeared"))
			s.wait(ctx, graceEvery, plugged)
		default:
			s.enter(gauge.StateFailed, gauge.Told(err))
			s.holdOff(ctx, s.backoff.Next())
		}
	}
}

// absent reports that the port is gone, however soon it may be back, and
// passes the time until the next look.
func (s *Supervisor) absent(ctx context.Context, plugged <-chan struct{}) {
	s.appeared = time.Time{}
	s.enter(gauge.StateAbsent, s.lanes[0].gauge.absent())
	s.wait(ctx, lookEvery, plugged)
}

// Ask asks a polled gauge at once and returns when its reading, or the
// rejection of its answer, has reached the sink.
func (s *Supervisor) Ask(ctx context.Context, gaugeID string) error {
	l := s.lane(gaugeID)
	if l == nil || l.gauge.Mode != gauge.ModePoll {
		return fmt.Errorf("gauge %s: %w", gaugeID, ErrNotPolled)
	}
	answer := make(chan error, 1)
	select {
	case s.asks <- ask{l, answer}:
	case <-s.stopped:
		return fmt.Errorf("gauge %s: %w", gaugeID, ErrStopped)
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-answer:
		if err != nil {
			return fmt.Errorf("gauge %s: %w", gaugeID, err)
		}
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (s *Supervisor) lane(gaugeID string) *lane {
	for _, l := range s.lanes {
		if l.gauge.ID == gaugeID {
			return l
		}
	}
	return nil
}

// connect opens the port and works on it. The port is closed when it returns.
func (s *Supervisor) connect(ctx context.Context) error {
	port, err := s.dialer.Dial()
	if err != nil {
		return err
	}
	return s.serve(ctx, port)
}

// holdOff leaves a port that failed alone, unless it goes away.
func (s *Supervisor) holdOff(ctx context.Context, d time.Duration) {
	end := time.Now().Add(d)
	for plugged := s.ports.Changed(); ctx.Err() == nil && s.dialer.Present(); plugged = s.ports.Changed() {
		left := time.Until(end)
		if left <= 0 {
			return
		}
		s.wait(ctx, min(left, lookEvery), plugged)
	}
}

// wait passes time without a port, or until something is plugged in or out.
// Who asks is told why there is no answer.
func (s *Supervisor) wait(ctx context.Context, d time.Duration, plugged <-chan struct{}) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-plugged:
			return
		case <-timer.C:
			return
		case a := <-s.asks:
			a.answer <- &lineError{message: gauge.Say("because.line.state", gauge.WordOf("state", "state", a.lane.state.State), gauge.Nested("why", a.lane.state.Reason))}
		}
	}
}

// enter reports a change of state that all gauges of the line share.
func (s *Supervisor) enter(state gauge.State, reason gauge.Message) {
	for _, l := range s.lanes {
		l.enter(state, reason)
	}
}

func (g *Gauge) absent() gauge.Message {
	switch {
	case strings.HasPrefix(g.Keyboard, "/"):
		return gauge.Say("because.line.no-keyboard", gauge.Text("port", g.Keyboard))
	case g.Keyboard != "":
		return gauge.Say("because.line.no-keyboard-of", gauge.Text("serial", g.Keyboard))
	case g.USB != "":
		return gauge.Say("because.line.no-adapter", gauge.Text("serial", g.USB))
	}
	return gauge.Say("because.line.no-port", gauge.Text("port", g.Port))
}
