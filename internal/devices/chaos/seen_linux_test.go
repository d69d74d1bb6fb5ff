package chaos_test

import (
	"fmt"
	"sync"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
)

// value is one delivered reading, or one that must be.
type value struct {
	length gauge.Length
	unit   gauge.Unit
	shown  string
	low    bool // the battery
	raw    string
}

func (v value) String() string {
	return fmt.Sprintf("%s %v (%d pm, battery low %v) from %q", v.shown, v.unit, v.length, v.low, v.raw)
}

// seen is what a supervisor reported about its line.
type seen struct {
	mu       sync.Mutex
	changed  chan struct{} // has one token when something came since the last look
	values   []value
	rejected map[gauge.Reason]int
	listed   int // rejections that came as an event of their own
	longest  int // bytes of any of them
	state    gauge.StateChange
	opened   int // how often the port was opened
	gate     chan struct{}
	waiting  bool // at the gate
}

func newSeen() *seen {
	return &seen{changed: make(chan struct{}, 1), rejected: map[gauge.Reason]int{}}
}

func (s *seen) sink(e devices.Event) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case e.Reading != nil:
		r := e.Reading
		s.values = append(s.values, value{r.Value, r.Unit, r.Shown, r.Status == gauge.StatusLowBattery, string(r.Raw)})
		s.passGate()
	case e.Reject != nil:
		s.rejected[e.Reject.Reason] += int(e.Count)
		s.listed++
		s.longest = max(s.longest, len(e.Reject.Raw))
	case e.State != nil:
		if e.State.State == gauge.StateLive && s.state.State != gauge.StateLive {
			s.opened++
		}
		s.state = *e.State
	}
	s.tell()
}

func (s *seen) tell() {
	select {
	case s.changed <- struct{}{}:
	default:
	}
}

// passGate waits while the gate is shut. The lock is held before and after.
func (s *seen) passGate() {
	gate := s.gate
	if gate == nil {
		return
	}
	s.waiting = true
	s.tell()
	s.mu.Unlock()
	<-gate
	s.mu.Lock()
	s.waiting = false
}

// shut makes the sink busy from the next reading on, until release.
func (s *seen) shut() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gate = make(chan struct{})
}

func (s *seen) release() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.gate != nil {
		close(s.gate)
		s.gate = nil
	}
}

// await waits until something is so; is is called with the lock held.
func (s *seen) await(what string, is func() bool) error {
	late := time.NewTimer(within)
	defer late.Stop()
	for {
		s.mu.Lock()
		ok := is()
		s.mu.Unlock()
		if ok {
			return nil
		}
		select {
		case <-s.changed:
		case <-late.C:
			return fmt.Errorf("%s did not happen within %v: %v", what, within, s)
		}
	}
}

// outcomes counts values and rejections; the lock is held.
func (s *seen) outcomes() int { return len(s.values) + s.rejections() }

func (s *seen) rejections() int {
	n := 0
	for _, count := range s.rejected {
		n += count
	}
	return n
}

func (s *seen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return fmt.Sprintf("%d values, rejections %v, opened %d times, %s %s",
		len(s.values), s.rejected, s.opened, s.state.State, s.state.Reason)
}
