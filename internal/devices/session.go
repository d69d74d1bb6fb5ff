package devices

import (
	"bytes"
	"context"
	"errors"
	"fmt"
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
	asking  *exchange // nil when the gauge is not polled

	silent   *time.Timer // since the last valid frame; nil when silence is healthy
	thinning *time.Timer // runs while rejections are held back
	rejected int         // since the last valid frame
	why      *Rejection  // of the last of them

	lastFrame []byte // for the bounce of a button
	lastAt    time.Time
}

func newSession(s *Supervisor, port Port) *session {
	x := &session{Supervisor: s, port: port, thinning: stoppedTimer()}
	x.scanner = NewScanner(s.gauge.Layout, s.gauge.Unit, x.outcome)
	x.reader = startReader(port)
	if s.gauge.Mode == ModePoll {
		x.asking = newExchange(port, s.gauge)
	}
	return x
}

// close closes the port, waits for the reader and reports what is pending.
func (x *session) close() {
	x.reader.stop()
	x.thin.flush()
	x.thinning.Stop()
	if x.silent != nil {
		x.silent.Stop()
	}
	if x.asking != nil {
		x.asking.end()
	}
}

// run works until the line fails or ctx ends.
func (x *session) run(ctx context.Context) error {
	if x.gauge.SilentAfter > 0 {
		x.silent = time.NewTimer(x.gauge.SilentAfter)
		x.enter(gauge.StateOpening, "")
	} else {
		x.enter(gauge.StateLive, "")
	}
	var silent <-chan time.Time
	if x.silent != nil {
		silent = x.silent.C
	}
	var asks chan chan error
	var due, answer <-chan time.Time
	if x.asking != nil {
		asks, due, answer = x.asks, x.asking.due.C, x.asking.timer.C
	}
	for {
		var err error
		select {
		case <-ctx.Done():
			x.scanner.Quiet()
			return ctx.Err()
		case c := <-x.reader.chunks:
			err = x.chunk(c)
		case <-silent:
			x.enter(gauge.StateSilent, x.silence())
		case <-x.thinning.C:
			x.thin.flush()
		case asker := <-asks:
			err = x.asking.ask(asker)
		case <-due:
			err = x.asking.ask(nil)
		case <-answer:
			err = x.asking.expired()
		}
		if err != nil {
			return err
		}
	}
}

func (x *session) chunk(c chunk) error {
	if len(c.data) > 0 {
		x.scanner.Feed(c.data, c.at)
		if x.asking != nil {
			if err := x.asking.heard(); err != nil {
				return err
			}
		}
	}
	if c.err != nil {
		x.scanner.Quiet()
	}
	if errors.Is(c.err, os.ErrDeadlineExceeded) {
		return nil
	}
	return c.err
}

// outcome judges what the scanner found.
func (x *session) outcome(o Outcome) {
	rejection := o.Rejection
	if x.asking != nil {
		rejection = x.asking.judge(o)
	}
	if rejection == nil && x.bounced(o) {
		rejection = rejectf(gauge.ReasonRepeated, "the same frame came again within %v: the button bounced", x.gauge.Bounce)
	}
	if rejection != nil {
		x.reject(o, rejection)
	} else {
		x.accept(o)
	}
	if x.asking != nil {
		x.asking.reported()
	}
}

// bounced reports whether a frame is the one before again, too soon for a
// second press.
func (x *session) bounced(o Outcome) bool {
	if x.gauge.Bounce == 0 {
		return false
	}
	again := bytes.Equal(o.Raw, x.lastFrame) && o.At.Sub(x.lastAt) < x.gauge.Bounce
	x.lastFrame, x.lastAt = o.Raw, o.At
	return again
}

func (x *session) accept(o Outcome) {
	x.backoff.reset()
	x.rejected, x.why = 0, nil
	if x.silent != nil {
		x.silent.Reset(x.gauge.SilentAfter)
	}
	x.enter(gauge.StateLive, "")
	x.sink(Event{Count: 1, Reading: &gauge.Reading{
		Gauge: x.gauge.ID, Time: o.At, Value: o.Value.Length, Shown: o.Value.Shown,
		Unit: o.Value.Unit, Status: o.Value.Status, Raw: o.Raw,
	}})
}

func (x *session) reject(o Outcome, why *Rejection) {
	x.rejected++
	x.why = why
	r := gauge.Reject{Gauge: x.gauge.ID, Time: o.At, Reason: why.Reason, Detail: why.Detail, Raw: o.Raw}
	if x.thin.add(r, time.Now()) {
		x.thinning.Reset(thinWindow)
	}
}

// silence says what silence it is: nothing at all, or nothing valid.
func (x *session) silence() string {
	if x.rejected == 0 {
		return fmt.Sprintf("nothing came for %v: is the gauge switched on and its cable plugged in?", x.gauge.SilentAfter)
	}
	return fmt.Sprintf("no valid frame came for %v, but %d others, the last: %v; are line and layout right?",
		x.gauge.SilentAfter, x.rejected, x.why)
}

// stoppedTimer returns a timer that runs once it is reset.
func stoppedTimer() *time.Timer {
	t := time.NewTimer(time.Hour)
	t.Stop()
	return t
}
