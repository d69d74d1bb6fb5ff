package devices

import (
	"fmt"
	"time"

	"gauged/internal/gauge"
)

// exchange asks a polled gauge and matches answers to requests. Its three
// phases are settling (bytes that come belong to nothing), ready, and asked.
//
// After a request without an answer the line must be quiet for settleTime
// before the next one, so that a late answer is rejected instead of being
// taken for the answer to the next request.
type exchange struct {
	port    Port
	request []byte
	within  time.Duration // for the answer
	settle  time.Duration // quiet time that ends settling

	phase    phase
	asked    time.Time
	timer    *time.Timer // end of settling, or of waiting for the answer
	due      *time.Ticker
	waiting  []chan error // who wants the next answer
	served   []chan error // who wants the answer to the request that is out
	answered bool         // and how it went: told once the sink has it
	failure  error
}

type phase int

const (
	settling phase = iota
	ready
	asked
)

// settleTime is the quiet time after a missing answer: no gauge is expected to
// be later than three times what its layout allows, or a second.
func settleTime(within time.Duration) time.Duration { return max(time.Second, 3*within) }

func newExchange(port Port, g Gauge) *exchange {
	e := &exchange{port: port, request: g.Layout.Request, within: g.Layout.AnswerWithin, settle: g.Layout.Pause}
	e.timer = time.NewTimer(e.settle)
	e.due = time.NewTicker(max(g.Poll, time.Hour))
	e.due.Stop()
	if g.Poll > 0 {
		e.due.Reset(g.Poll)
	}
	return e
}

// end gives up: the line is gone.
func (e *exchange) end() {
	e.timer.Stop()
	e.due.Stop()
	for _, asker := range append(e.served, e.waiting...) {
		asker <- ErrNoAnswer
	}
}

// ask sends a request as soon as the line is ready. A nil asker is the
// interval, which does not queue up behind a gauge that is slow.
func (e *exchange) ask(asker chan error) error {
	if asker != nil {
		e.waiting = append(e.waiting, asker)
	}
	if e.phase != ready {
		return nil
	}
	return e.send()
}

func (e *exchange) send() error {
	e.phase, e.asked = asked, time.Now()
	e.served, e.waiting = e.waiting, nil
	e.timer.Reset(e.within)
	if _, err := e.port.Write(e.request); err != nil {
		return fmt.Errorf("send the request: %w", err)
	}
	return nil
}

// expired handles the end of settling or of waiting.
func (e *exchange) expired() error {
	if e.phase == asked {
		for _, asker := range e.served {
			asker <- ErrNoAnswer
		}
		e.served = nil
		e.phase, e.settle = settling, settleTime(e.within)
		e.timer.Reset(e.settle)
		return nil
	}
	return e.becomeReady()
}

func (e *exchange) becomeReady() error {
	e.phase = ready
	if len(e.waiting) > 0 {
		return e.send()
	}
	return nil
}

// heard is told of every chunk, after its frames have been judged.
func (e *exchange) heard() error {
	switch {
	case e.phase == settling:
		e.timer.Reset(e.settle)
	case e.phase == ready && len(e.waiting) > 0:
		return e.send()
	}
	return nil
}

// judge returns why an outcome is no reading, nil when it is one.
func (e *exchange) judge(o Outcome) *Rejection {
	if e.phase != asked || o.At.Before(e.asked) {
		if o.Rejection != nil {
			return o.Rejection
		}
		return rejectf(gauge.ReasonUnasked, "%q came without a request, or too late for it", o.Raw)
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
	for _, asker := range e.served {
		asker <- e.failure
	}
	e.served, e.answered, e.failure = nil, false, nil
	e.phase = ready
	e.timer.Stop()
}
