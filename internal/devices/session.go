package devices

import (
	"context"
	"errors"
	"os"
	"time"

	"gauged/internal/gauge"
)

// session is the time from opening a port to closing it.
type session struct {
	*Supervisor
	port    Port
	reader  *reader
	scanner *Scanner
	asking  *exchange // nil when the gauges are not polled
}

func newSession(s *Supervisor, port Port) *session {
	x := &session{Supervisor: s, port: port}
	if s.lanes[0].gauge.Mode == gauge.ModePoll {
		x.asking = newExchange(port, s.lanes, x.turnTo)
		for _, l := range s.lanes {
			l.scanner = NewScanner(l.gauge.Layout, l.gauge.Unit, x.outcome)
		}
		x.scanner = s.lanes[0].scanner
	} else {
		x.scanner = NewScanner(s.lanes[0].gauge.Layout, s.lanes[0].gauge.Unit, x.outcome)
		if s.byChannel != nil {
			x.scanner.unit.by = map[string]gauge.Unit{}
			for channel, l := range s.byChannel {
				x.scanner.unit.by[channel] = l.gauge.Unit
			}
		}
	}
	x.reader = startReader(port)
	return x
}

// turnTo has the next bytes read as those of a polled gauge. They begin a frame,
// for a gauge is asked when the line is at rest.
func (x *session) turnTo(l *lane) {
	if x.scanner != l.scanner {
		x.scanner.Quiet()
		x.scanner = l.scanner
		x.scanner.Quiet()
	}
}

// close closes the port, waits for the reader and reports what is pending.
func (x *session) close() {
	x.reader.stop()
	for _, l := range x.lanes {
		l.end()
	}
	x.strangers.flush()
}

// run works until the line fails or ctx ends.
func (x *session) run(ctx context.Context) error {
	now := time.Now()
	for _, l := range x.lanes {
		l.begin(now)
	}
	wake := time.NewTimer(time.Hour)
	defer wake.Stop()
	for {
		wake.Reset(time.Until(x.next()))
		var err error
		select {
		case <-ctx.Done():
			x.rest()
			return ctx.Err()
		case c := <-x.reader.chunks:
			err = x.chunk(c)
		case a := <-x.asks:
			err = x.asking.ask(a)
		case <-wake.C:
			err = x.tick(time.Now())
		}
		if err != nil {
			return err
		}
	}
}

// rest takes in what has been read already.
func (x *session) rest() {
	for {
		select {
		case c := <-x.reader.chunks:
			if x.chunk(c) != nil {
				return
			}
		default:
			x.scanner.Cut()
			return
		}
	}
}

// next is when something is due.
func (x *session) next() time.Time {
	at := time.Now().Add(time.Hour)
	sooner := func(t time.Time) {
		if !t.IsZero() && t.Before(at) {
			at = t
		}
	}
	for _, l := range x.lanes {
		sooner(l.silentAt)
		sooner(l.thin.until)
		sooner(l.dueAt)
	}
	sooner(x.strangers.until)
	if x.asking != nil {
		sooner(x.asking.until)
	}
	return at
}

func (x *session) tick(now time.Time) error {
	for _, l := range x.lanes {
		l.tick(now)
	}
	if passed(x.strangers.until, now) {
		x.strangers.flush()
	}
	if x.asking != nil {
		return x.asking.tick(now)
	}
	return nil
}

func (x *session) chunk(c chunk) error {
	if len(c.data) > 0 && c.unheard >= x.scanner.layout.Pause {
		x.scanner.Missed()
	}
	if len(c.data) > 0 {
		x.scanner.Feed(c.data, c.at)
		if x.asking != nil {
			if err := x.asking.heard(); err != nil {
				return err
			}
		}
	}
	switch {
	case errors.Is(c.err, os.ErrDeadlineExceeded):
		x.scanner.Quiet()
		return nil
	case c.err != nil:
		x.scanner.Cut()
	}
	return c.err
}

// outcome judges what the scanner found, and gives it to the gauge that it is of.
func (x *session) outcome(o Outcome) {
	l, rejection := x.lanes[0], o.Rejection
	if x.asking != nil {
		l = x.asking.last
		rejection = x.asking.judge(o)
	} else if of, known := x.byChannel[o.Value.Channel]; known {
		l = of
	}
	if rejection != nil && rejection.Reason == gauge.ReasonUnknown {
		x.strangers.add(rejected(l.gauge.ID, o, rejection), time.Now())
		return
	}
	if rejection == nil && l.bounced(o) {
		rejection = &Rejection{gauge.ReasonRepeated, gauge.Say("rejected.bounced", gauge.Span("within", l.gauge.Bounce))}
	}
	if rejection != nil {
		l.reject(o, rejection)
	} else {
		x.backoff.Reset()
		l.accept(o)
	}
	if x.asking != nil {
		x.asking.reported()
	}
}
