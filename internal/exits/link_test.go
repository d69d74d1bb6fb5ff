package exits

import (
	"context"
	"errors"
	"testing"
	"time"

	"gauged/internal/exits/letter"
)

// held is a rig whose sender holds a connection, which the test makes, refuses and ends.
type held struct {
	*rig
	opens chan error // what comes of the next attempts to connect
	lost  chan struct{}
	ended error // why the connection was lost
}

// awayFault is that the receiver was not reached, or lets nobody in.
type awayFault struct{ refuses bool }

func (awayFault) Error() string   { return "away" }
func (awayFault) Away() bool      { return true }
func (a awayFault) Refuses() bool { return a.refuses }

func (h *held) Open(ctx context.Context) error {
	h.mu.Lock()
	lost, ended := h.lost, h.ended
	if h.ended != nil {
		h.lost, h.ended = nil, nil
	}
	h.mu.Unlock()
	if lost != nil {
		return ended
	}
	select {
	case err := <-h.opens:
		if err == nil {
			h.mu.Lock()
			h.lost = make(chan struct{})
			h.mu.Unlock()
		}
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (h *held) Lost() <-chan struct{} {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.lost
}

func (*held) Readings() letter.Readings { return letter.Readings{} }

func (h *held) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.lost, h.ended = nil, nil
}

// loses ends the connection.
func (h *held) loses(why error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.ended = why
	close(h.lost)
}

// connected waits until there is a connection and nothing is wrong.
func (h *held) connected() {
	h.t.Helper()
	h.status(func(s Status) bool { return s.Connected && s.Failures == 0 })
}

// failed waits until so many attempts have failed, and returns how long the exit waits.
func (h *held) failed(attempts uint64) time.Duration {
	h.t.Helper()
	s := h.status(func(s Status) bool { return s.Failed == attempts && !s.Retry.IsZero() })
	return s.Retry.Sub(h.clock())
}

// goesOn ends a pause of the exit.
func (h *held) goesOn(pause time.Duration) {
	h.later(pause)
	e, err := h.x.find("shop")
	if err != nil {
		h.t.Fatal(err)
	}
	e.wake()
}

func newHeld(t *testing.T) *held {
	t.Helper()
	h := &held{rig: newRig(t), opens: make(chan error)}
	h.stop()
	h.sender, h.first, h.longest = h, time.Second, 10*time.Minute
	h.start()
	return h
}

// TestNothingIsGivenUpWhileAway: while the receiver is not reached no letter is given up,
// however long that lasts; and once it is reached the letter has its whole time.
func TestNothingIsGivenUpWhileAway(t *testing.T) {
	h := newHeld(t)
	h.happens(1)
	h.opens <- awayFault{}
	h.failed(1)
	if s := h.x.All()[0]; !s.Waiting.Equal(morning) || s.After != 1 || s.Behind != 1 {
		t.Errorf("it is not known what waits: %+v", s)
	}
	for i := range uint64(12) {
		h.failed(i + 1)
		h.goesOn(threeDays)
		h.opens <- awayFault{}
	}
	if s := h.status(func(s Status) bool { return s.Failed == 13 }); s.Dead != 0 || s.After != 1 || !s.Away || s.Refused || s.Connected {
		t.Errorf("after a month: %+v", s)
	}
	if got := h.x.Troubles(); len(got) != 1 || got[0].Code != "trouble.exit.behind" {
		t.Errorf("troubles: %v", got)
	}
	h.goesOn(threeDays)
	h.opens <- nil
	h.comes(2, errRefused)
	h.goesOn(threeDays - time.Hour)
	h.comes(2, errRefused)
	if s := h.x.All()[0]; s.Dead != 0 {
		t.Errorf("given up an hour too soon: %+v", s)
	}
	h.goesOn(time.Hour)
	h.comes(2, errRefused)
	h.status(func(s Status) bool { return s.Dead == 1 })
}

// TestLostWithNothingToHandOn: that the connection is lost is known while nothing waits, and
// it is made again.
func TestLostWithNothingToHandOn(t *testing.T) {
	h := newHeld(t)
	h.opens <- nil
	h.connected()
	h.loses(awayFault{})
	wait := h.failed(1)
	if s := h.x.All()[0]; s.Connected || !s.Away || s.Failures != 1 {
		t.Errorf("after the loss: %+v", s)
	}
	h.goesOn(wait)
	h.opens <- nil
	h.connected()
	if _, err := h.x.Pause(t.Context(), "shop", "Ada"); err != nil {
		t.Fatal(err)
	}
	h.status(func(s Status) bool { return !s.Connected }) // a pause gives the connection up
	if _, err := h.x.Resume(t.Context(), "shop", "Ada"); err != nil {
		t.Fatal(err)
	}
	h.opens <- nil
	h.connected()
}

// TestTwoThatTakeAConnectionFromEachOther: one that is lost soon after it was made is made
// again after pauses that grow, up to the longest; one that held for a while after the first.
func TestTwoThatTakeAConnectionFromEachOther(t *testing.T) {
	h := newHeld(t)
	lasts := func(i uint64, held, want time.Duration) {
		t.Helper()
		h.opens <- nil
		h.connected()
		h.later(held)
		h.loses(awayFault{})
		wait := h.failed(i)
		if wait < want*8/10 || wait > want*12/10 {
			t.Errorf("after loss %d it waits %v, want %v within a fifth", i, wait, want)
		}
		got := h.x.Troubles()
		if many := i >= 3 && i < 13; many && (len(got) != 1 || got[0].Code != "trouble.exit.unsteady") || !many && len(got) != 0 {
			t.Errorf("troubles after loss %d: %v", i, got)
		}
		h.goesOn(wait)
	}
	for i, want := range []time.Duration{1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 600, 600} {
		lasts(uint64(i+1), time.Second, want*time.Second)
	}
	lasts(13, 2*time.Minute, time.Second)
	lasts(14, time.Second, 2*time.Second)
	h.opens <- nil
	h.connected()
	h.happens(1)
	h.comes(2, nil)
}

// TestTakenAwayWhileLettersFlow: letters that come through in between do not make the pauses short.
func TestTakenAwayWhileLettersFlow(t *testing.T) {
	h := newHeld(t)
	h.happens(8)
	for i := range uint64(7) {
		h.opens <- nil
		h.comes(2+2*i, nil)
		<-h.got // the next letter
		h.Close()
		h.next <- errRefused
		wait, want := h.failed(i+1), time.Second<<i
		if wait < want*8/10 || wait > want*12/10 {
			t.Errorf("after loss %d it waits %v, want %v within a fifth", i+1, wait, want)
		}
		h.goesOn(wait)
	}
	h.opens <- nil
	h.comes(16, nil)
}

// TestNobodyIsLetIn: that is a trouble at once, and over when the receiver lets the exit in.
func TestNobodyIsLetIn(t *testing.T) {
	h := newHeld(t)
	h.opens <- errors.Join(awayFault{refuses: true}, errRefused)
	h.failed(1)
	if got := h.x.Troubles(); len(got) != 1 || got[0].Code != "trouble.exit.refused" {
		t.Errorf("troubles: %v", got)
	}
	if _, err := h.x.Resume(t.Context(), "shop", "Ada"); err != nil {
		t.Fatal(err)
	}
	h.opens <- nil
	h.connected()
	if got := h.x.Troubles(); len(got) != 0 {
		t.Errorf("troubles afterwards: %v", got)
	}
	if s := h.x.All()[0]; s.Failures != 0 || !s.Why.IsZero() {
		t.Errorf("%+v", s)
	}
}
