package devices

import (
	"context"
	"log/slog"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// lane is one of the gauges on a line.
type lane struct {
	gauge Gauge
	sink  func(Event)
	log   *slog.Logger
	state gauge.StateChange
	thin  *thinner

	// What follows is of the present session.
	silentAt time.Time  // when it counts as silent; zero when silence is healthy, or known
	rejected int        // since the last valid frame
	why      *Rejection // of the last of them

	last gauge.Repeat // for the bounce of a button

	scanner *Scanner  // of a polled gauge
	dueAt   time.Time // of the next request by interval; zero: it is asked only when somebody wants a reading
	due     bool      // its interval has passed while another was asked
	missed  int       // requests by interval without an answer, in a row
	waiting []asker   // who wants the next answer
	served  []asker   // who wants the answer to the request that is out
}

// asker is told how a request went. tries is how often the gauge may still be
// asked for it.
type asker struct {
	answer chan error
	tries  int
}

func newLane(g Gauge, sink func(Event), log *slog.Logger) *lane {
	return &lane{gauge: g, sink: sink, log: log.With("gauge", g.ID), thin: newThinner(sink, thinWindow, thinFirst)}
}

// begin begins a session.
func (l *lane) begin(now time.Time) {
	l.rejected, l.why, l.last = 0, nil, gauge.Repeat{}
	l.due, l.missed, l.dueAt = false, 0, time.Time{}
	if l.gauge.Poll > 0 {
		l.dueAt = now.Add(l.gauge.Poll)
	}
	if l.gauge.SilentAfter == 0 {
		l.enter(gauge.StateLive, gauge.Message{})
		return
	}
	l.silentAt = now.Add(l.gauge.SilentAfter)
	l.enter(gauge.StateOpening, gauge.Message{})
}

// end ends a session: what is pending is reported.
func (l *lane) end() {
	l.thin.flush()
	l.silentAt = time.Time{}
	for _, a := range append(l.served, l.waiting...) {
		a.answer <- ErrNoAnswer
	}
	l.served, l.waiting = nil, nil
}

// tick does what is due.
func (l *lane) tick(now time.Time) {
	if passed(l.silentAt, now) {
		l.silentAt = time.Time{}
		l.enter(gauge.StateSilent, l.silence())
	}
	if passed(l.thin.until, now) {
		l.thin.flush()
	}
}

// passed reports whether a time that is set has come.
func passed(at, now time.Time) bool { return !at.IsZero() && !now.Before(at) }

// bounced reports whether a frame is the one before again, too soon for a
// second press.
func (l *lane) bounced(o Outcome) bool {
	return l.gauge.Bounce > 0 && l.last.Soon(string(o.Raw), o.At, l.gauge.Bounce)
}

func (l *lane) accept(o Outcome) {
	l.rejected, l.why = 0, nil
	if l.gauge.SilentAfter > 0 {
		l.silentAt = time.Now().Add(l.gauge.SilentAfter)
	}
	l.enter(gauge.StateLive, gauge.Message{})
	l.sink(Event{Count: 1, Reading: &gauge.Reading{
		Gauge: l.gauge.ID, Time: o.At, Value: o.Value.Length, Shown: o.Value.Shown,
		Unit: o.Value.Unit, Status: o.Value.Status, Raw: o.Raw,
	}})
}

func (l *lane) reject(o Outcome, why *Rejection) {
	l.rejected++
	l.why = why
	l.thin.add(rejected(l.gauge.ID, o, why), time.Now())
}

func rejected(id string, o Outcome, why *Rejection) gauge.Reject {
	return gauge.Reject{Gauge: id, Time: o.At, Reason: why.Reason, Detail: why.Detail, Raw: o.Raw}
}

// silence says what silence it is: nothing at all, or nothing valid.
func (l *lane) silence() gauge.Message {
	limit := gauge.Span("limit", l.gauge.SilentAfter)
	if l.rejected == 0 {
		return gauge.Say("because.line.nothing", limit)
	}
	return gauge.Say("because.line.nothing-valid", limit, gauge.Count("frames", l.rejected),
		gauge.WordOf("reason", "reject", l.why.Reason), gauge.Nested("detail", l.why.Detail))
}

// enter reports a change of state.
func (l *lane) enter(state gauge.State, reason gauge.Message) {
	if l.state.State == state && l.state.Reason.Equal(reason) {
		return
	}
	l.state = gauge.StateChange{Gauge: l.gauge.ID, Time: time.Now(), State: state, Reason: reason}
	level := slog.LevelInfo
	if state == gauge.StateFailed || state == gauge.StateSilent {
		level = slog.LevelWarn
	}
	l.log.Log(context.Background(), level, "gauge is "+string(state), "reason", words.In(words.English).Tell(reason))
	change := l.state
	l.sink(Event{State: &change, Count: 1})
}
