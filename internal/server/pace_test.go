package server

import (
	"net"
	"testing"
	"time"
)

// TestPeersAreReadAtAPace: what a peer sends on all of its connections counts together, a
// small frame as more than its bytes, and nothing is kept of a peer that has left.
func TestPeersAreReadAtAPace(t *testing.T) {
	p := paces{peers: map[string]*pace{}}
	now := time.Now()
	first, second, other := p.enter("a"), p.enter("a"), p.enter("b")
	if d := first.ReserveN(now, mostReadAtOnce).DelayFrom(now); d != 0 {
		t.Errorf("what may come at once waits for %s", d)
	}
	if d := second.ReserveN(now, mostReadAtOnce).DelayFrom(now); d != time.Second*mostReadAtOnce/mostReadASecond {
		t.Errorf("as much again waits for %s", d)
	}
	if d := other.ReserveN(now, mostReadAtOnce).DelayFrom(now); d != 0 {
		t.Errorf("another peer waits for %s", d)
	}
	p.leave("a")
	p.leave("b")
	if p.peers["a"] == nil || len(p.peers) != 1 {
		t.Errorf("%d peers are left", len(p.peers))
	}
	p.leave("a")
	if len(p.peers) != 0 {
		t.Errorf("%d peers are left", len(p.peers))
	}
}

// TestReadingCountsFrames: a connection is read at its peer's pace, and leaves it once.
func TestReadingCountsFrames(t *testing.T) {
	h := newHalfSent(nil, time.Now)
	here, there := net.Pipe()
	c := h.watch(here)
	sent := append(make([]byte, prefaceLength), 0, 0, 0, 4, 0, 0, 0, 0, 0, 0, 0, 0, 4, 1, 0, 0, 0, 0) // two settings
	go func() { _, _ = there.Write(sent) }()
	got := make([]byte, 100)
	c.pace.SetLimit(0) // what is taken does not come back
	if n, err := c.Read(got); err != nil || n != len(sent) {
		t.Fatal(n, err)
	}
	if left := c.pace.Tokens(); left != float64(mostReadAtOnce-len(sent)-2*perFrameRead) {
		t.Errorf("%f is left", left)
	}
	_ = c.Close()
	_ = c.Close()
	if len(h.paces.peers) != 0 {
		t.Errorf("%d peers are left", len(h.paces.peers))
	}
}
