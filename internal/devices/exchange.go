package devices

import (
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// exchange asks the polled gauges of a line, one at a time and in turn, and
// matches answers to requests. Its three phases are settling (bytes that come
// belong to nothing), ready, and asked.
//
// After a request without an answer the line must be quiet for settleTime
// before the next one, so that a late answer is rejected instead of being
// taken for the answer to the next request.
type exchange struct {
	port   Port
	lanes  []*lane
	turnTo func(*lane)   // is called before a gauge is asked
	settle time.Duration // quiet time that ends settling

	phase    phase
	last     *lane     // who was asked last
	asked    time.Time // and when
	until    time.Time // end of settling, or of waiting for the answer
	answered bool      // and how it went: told once the sink has it
	failure  error
}

type phase int

const (
	settling phase = iota
	ready
	asked
)

// longestRest is how long a gauge that does not answer is at most left alone, so
// that it does not hold up the others on its line.
const longestRest = 10 * time.Second

// settleTime is the quiet time after a missing answer: no gauge is expected to
// be later than three times what its layout allows, or a second.
func settleTime(within time.Duration) time.Duration { return max(time.Second, 3*within) }

func newExchange(port Port, lanes []*lane, turnTo func(*lane)) *exchange {
	e := &exchange{port: port, lanes: lanes, turnTo: turnTo, last: lanes[0]}
	for _, l := range lanes {
		e.settle = max(e.settle, l.gauge.Layout.Pause)
	}
	e.until = time.Now().Add(e.settle)
	return e
}

// ask sends a request as soon as the line is ready.
func (e *exchange) ask(a ask) error {
	a.lane.waiting = append(a.lane.waiting, asker{a.answer, a.lane.gauge.Layout.Tries})
	if e.phase != ready {
		return nil
	}
	return e.next()
}

// next asks the next gauge in turn of which a reading is wanted.
func (e *exchange) next() error {
	e.phase, e.until = ready, time.Time{}
	at := slices.Index(e.lanes, e.last)
	for i := range e.lanes {
		if l := e.lanes[(at+1+i)%len(e.lanes)]; l.due || len(l.waiting) > 0 {
			return e.send(l)
		}
	}
	return nil
}

func (e *exchange) send(l *lane) error {
	e.turnTo(l)
	e.phase, e.last, e.asked = asked, l, time.Now()
	l.served, l.waiting, l.due = l.waiting, nil, false
	e.until = e.asked.Add(l.gauge.Layout.AnswerWithin)
	if _, err := e.port.Write(l.gauge.Layout.RequestTo(l.gauge.Channel)); err != nil {
		return &lineError{gauge.Say("because.line.request", gauge.Because("why", err)), err}
	}
	return nil
}

// tick does what is due. The interval does not queue up behind a gauge that is
// slow.
func (e *exchange) tick(now time.Time) error {
	for _, l := range e.lanes {
		if passed(l.dueAt, now) {
			l.due = e.phase == ready || l != e.last
			l.dueAt = l.dueAt.Add(l.gauge.Poll)
			if l.dueAt.Before(now) {
				l.dueAt = now.Add(l.gauge.Poll)
			}
		}
	}
	if passed(e.until, now) {
		if e.phase == asked {
			e.unanswered(now)
			return nil
		}
		e.phase = ready
	}
	if e.phase == ready {
		return e.next()
	}
	return nil
}

// unanswered gives a request up. Who wanted the reading may have it asked for again.
func (e *exchange) unanswered(now time.Time) {
	l := e.last
	if l.missed++; l.gauge.Poll > 0 && len(e.lanes) > 1 {
		l.dueAt = now.Add(min(l.gauge.Poll<<min(l.missed, 10), max(longestRest, l.gauge.Poll)))
	}
	for _, a := range l.served {
		if a.tries--; a.tries > 0 {
			l.waiting = append(l.waiting, a)
		} else {
			a.answer <- ErrNoAnswer
		}
	}
	l.served = nil
	e.phase, e.settle = settling, settleTime(l.gauge.Layout.AnswerWithin)
	e.until = now.Add(e.settle)
}

// heard is told of every chunk, after its frames have been judged.
func (e *exchange) heard() error {
	switch e.phase {
	case settling:
		e.until = time.Now().Add(e.settle)
	case ready:
		return e.next()
	}
	return nil
}

// judge returns why an outcome is no reading, nil when it is one.
func (e *exchange) judge(o Outcome) *Rejection {
	if e.phase != asked || o.At.Before(e.asked) {
		if o.Rejection != nil {
			return o.Rejection
		}
		return &Rejection{gauge.ReasonUnasked, gauge.Say("rejected.unasked", quoted(o.Raw))}
	}
	if g := e.last.gauge; o.Value.Channel != "" && o.Value.Channel != g.Channel {
		return &Rejection{gauge.ReasonUnasked, gauge.Say("rejected.other-channel", quoted(o.Raw), shopfile.Quoted("channel", o.Value.Channel), shopfile.Quoted("asked", g.Channel))}
	}
	if o.Rejection == nil {
		e.answered = true
		return nil
	}
	switch o.Rejection.Reason {
	case gauge.ReasonOverrange, gauge.ReasonUnit, gauge.ReasonNumber, gauge.ReasonComma:
		e.answered, e.failure = true, o.Rejection // a whole answer, though no value
	}
	return o.Rejection
}

// reported tells who asked, now that the sink has the outcome.
func (e *exchange) reported() {
	if !e.answered {
		return
	}
	for _, a := range e.last.served {
		a.answer <- e.failure
	}
	e.last.served, e.last.missed, e.answered, e.failure = nil, 0, false, nil
	e.phase, e.until = ready, time.Time{}
}
