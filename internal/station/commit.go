package station

import (
	"context"
	"maps"
	"slices"
	"time"

	"gauged/internal/gauge"
)

// errStopped is the answer of a station that has stopped.
var errStopped = gauge.Stopped("refusal.daemon.stopped")

// request asks the loop for a decision. What decide has added to the draft is dropped when
// it returns an error.
type request struct {
	decide func(*draft) error
	// answer gets the outcome once it is durable; nil for a report of a gauge,
	// which is tried again for as long as the store fails.
	answer chan error
	asked  *asked // how the call is made; nil: as usual
}

// retryPause is how long the loop waits after a failed commit.
const retryPause = 500 * time.Millisecond

// Run takes requests until ctx ends; then it stores what is still waiting and
// returns. Requests after that fail with ErrStopped.
func (s *Station) Run(ctx context.Context) {
	defer close(s.done)
	var again []*request // reports whose commit failed
	look := time.NewTicker(lookForSilence)
	defer look.Stop()
	for {
		if len(again) > 0 && !pause(ctx, retryPause) {
			s.last(again)
			return
		}
		batch := again
		if len(batch) == 0 {
			select {
			case r := <-s.inbox:
				batch = append(batch, r)
			case <-look.C:
				if batch = s.silence(); len(batch) == 0 {
					continue
				}
			case <-ctx.Done():
				s.last(nil)
				return
			}
		}
		again = s.commit(s.waiting(batch))
	}
}

// last commits what has arrived before the end.
func (s *Station) last(batch []*request) {
	if batch = s.waiting(batch); len(batch) > 0 {
		s.commit(batch)
	}
}

// waiting adds what else has arrived, up to a full inbox.
func (s *Station) waiting(batch []*request) []*request {
	for len(batch) < inboxSize {
		select {
		case r := <-s.inbox:
			batch = append(batch, r)
		default:
			return batch
		}
	}
	return batch
}

func pause(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// commit decides a batch, stores its facts, publishes them and answers. It
// returns the reports to try again after a failure of the store.
func (s *Station) commit(batch []*request) (again []*request) {
	d := newDraft(s)
	errs := make([]error, len(batch))
	for i, r := range batch {
		errs[i] = d.ask(r)
	}
	if err := s.store(d.facts, d.requests); err != nil {
		for i, r := range batch {
			if r.answer == nil {
				again = append(again, r)
			} else {
				errs[i] = err
			}
		}
	} else {
		s.publish(d)
	}
	for i, r := range batch {
		if r.answer != nil {
			r.answer <- errs[i]
		}
	}
	return again
}

func (s *Station) store(facts []gauge.Fact, requests map[string]gauge.Request) error {
	if len(facts) == 0 {
		return nil
	}
	begin := time.Now()
	// A commit that has begun is finished even while the station is stopping.
	err := s.o.Store.Append(context.Background(), facts, slices.Collect(maps.Values(requests))...)
	s.Committed(err)
	if s.o.OnCommit != nil {
		s.o.OnCommit(time.Since(begin), len(facts), err)
	}
	return err
}

// publish makes the draft's state the committed one and wakes the watchers.
func (s *Station) publish(d *draft) {
	s.mu.Lock()
	for id, g := range d.gauges {
		if _, known := s.gauges[id]; known || g.isSeen() {
			s.gauges[id] = g
		}
	}
	for id, h := range d.health {
		s.health[id] = h
	}
	for id, j := range d.jobs {
		if s.jobs[id] = j; !j.Closed.IsZero() {
			delete(s.jobs, id) // the store has it
		}
	}
	for source, seq := range d.sources {
		s.sources[source] = seq
	}
	s.news.take(d)
	s.lastJob = d.lastJob
	s.library = d.library
	if s.register.Swap(d.register) != d.register {
		close(s.accessChanged)
		s.accessChanged = make(chan struct{})
	}
	if d.configured != nil {
		s.masters, s.plans = d.configured.Masters, d.configured.Plans
	}
	s.unknown += d.unknown
	changed := s.changed
	s.changed = make(chan struct{})
	s.mu.Unlock()
	s.tail.Add(d.facts)
	close(changed)
}

// do has the loop decide and waits until the decision is durable.
func (s *Station) do(ctx context.Context, decide func(*draft) error) error {
	r := &request{decide: decide, answer: make(chan error, 1), asked: askedIn(ctx)}
	select {
	case s.inbox <- r:
	case <-s.done:
		return errStopped
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-r.answer:
		return err
	case <-ctx.Done():
		return ctx.Err()
	case <-s.done:
	}
	select { // the last commit may have answered
	case err := <-r.answer:
		return err
	default:
		return errStopped
	}
}

// Report takes what a gauge's line gives. It returns when the report is
// waiting for the next commit, and blocks while the inbox is full, so that
// nothing is dropped here. After Run has ended reports are lost.
func (s *Station) Report(r Report) {
	select {
	case s.inbox <- &request{decide: func(d *draft) error { return d.report(r) }}:
	case <-s.done:
	}
}
