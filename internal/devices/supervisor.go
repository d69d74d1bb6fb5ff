package devices

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"gauged/internal/gauge"
)

// lookEvery is how often the port of an absent gauge is looked for.
const lookEvery = 500 * time.Millisecond

// Errors of Supervisor.Ask.
var (
	ErrNotPolled = errors.New("the gauge cannot be asked: its mode is not poll")
	ErrNoAnswer  = errors.New("the gauge did not answer")
	ErrStopped   = errors.New("the gauge's supervisor has stopped")
)

// Supervisor keeps the line of one gauge open and reports what comes in. It
// copes with a port that is absent, refused, unplugged or full of noise; what
// happens to one gauge does not touch another.
type Supervisor struct {
	gauge  Gauge
	dialer Dialer
	sink   func(Event)
	log    *slog.Logger

	asks    chan chan error // each is answered once
	stopped chan struct{}
	state   gauge.StateChange
	backoff backoff
	thin    *thinner
}

// NewSupervisor returns the supervisor of a gauge that has a port and a
// layout. The sink is called from Run's goroutine, one event at a time, in the
// order of what happened; while it works nothing is read. It must not call Ask.
func NewSupervisor(g Gauge, d Dialer, sink func(Event), log *slog.Logger) *Supervisor {
	return &Supervisor{
		gauge: g, dialer: d, sink: sink, log: log.With("gauge", g.ID),
		asks: make(chan chan error), stopped: make(chan struct{}), thin: newThinner(sink),
	}
}

// Run supervises the gauge until ctx ends, and returns with the port closed.
// It may be called once.
func (s *Supervisor) Run(ctx context.Context) {
	defer close(s.stopped)
	for ctx.Err() == nil {
		if !s.dialer.Present() {
			s.absent(ctx)
			continue
		}
		err := s.connect(ctx)
		if ctx.Err() != nil {
			return
		}
		if !s.dialer.Present() {
			s.absent(ctx)
			continue
		}
		s.enter(gauge.StateFailed, err.Error())
		s.holdOff(ctx, s.backoff.next())
	}
}

// absent reports that the port is gone, however soon it may be back, and
// passes the time until the next look.
func (s *Supervisor) absent(ctx context.Context) {
	s.enter(gauge.StateAbsent, s.absentText())
	s.wait(ctx, lookEvery)
}

// Ask asks a polled gauge at once and returns when its reading, or the
// rejection of its answer, has reached the sink.
func (s *Supervisor) Ask(ctx context.Context) error {
	if s.gauge.Mode != ModePoll {
		return fmt.Errorf("gauge %s: %w", s.gauge.ID, ErrNotPolled)
	}
	answer := make(chan error, 1)
	select {
	case s.asks <- answer:
	case <-s.stopped:
		return fmt.Errorf("gauge %s: %w", s.gauge.ID, ErrStopped)
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-answer:
		if err != nil {
			return fmt.Errorf("gauge %s: %w", s.gauge.ID, err)
		}
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// connect opens the port and runs a session on it. The port is closed when it returns.
func (s *Supervisor) connect(ctx context.Context) error {
	port, err := s.dialer.Dial()
	if err != nil {
		return err
	}
	session := newSession(s, port)
	defer session.close()
	return session.run(ctx)
}

// holdOff leaves a port that failed alone, unless it goes away.
func (s *Supervisor) holdOff(ctx context.Context, d time.Duration) {
	end := time.Now().Add(d)
	for ctx.Err() == nil && s.dialer.Present() {
		left := time.Until(end)
		if left <= 0 {
			return
		}
		s.wait(ctx, min(left, lookEvery))
	}
}

// wait passes time without a port. Who asks is told why there is no answer.
func (s *Supervisor) wait(ctx context.Context, d time.Duration) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
			return
		case answer := <-s.asks:
			answer <- fmt.Errorf("%s: %s", s.state.State, s.state.Reason)
		}
	}
}

// enter reports a change of state.
func (s *Supervisor) enter(state gauge.State, reason string) {
	if s.state.State == state && s.state.Reason == reason {
		return
	}
	s.state = gauge.StateChange{Gauge: s.gauge.ID, Time: time.Now(), State: state, Reason: reason}
	level := slog.LevelInfo
	if state == gauge.StateFailed || state == gauge.StateSilent {
		level = slog.LevelWarn
	}
	s.log.Log(context.Background(), level, "gauge is "+string(state), "reason", reason)
	change := s.state
	s.sink(Event{State: &change, Count: 1})
}

func (s *Supervisor) absentText() string {
	if s.gauge.Keyboard != "" {
		return describeKeyboard(s.gauge.Keyboard) + " is not there: plug the gauge in"
	}
	if s.gauge.USB != "" {
		return fmt.Sprintf("no USB adapter has the serial number %q: plug the gauge in", s.gauge.USB)
	}
	return fmt.Sprintf("the port %s does not exist: plug the gauge in", s.gauge.Port)
}
