package forward

import (
	"context"
	"errors"
	"testing"
	"time"
)

func TestWindow(t *testing.T) {
	w := newWindow(4)
	w.begin(10)
	at := func(acknowledged, settled uint64) {
		t.Helper()
		if a, s := w.position(); a != acknowledged || s != settled {
			t.Errorf("acknowledged %d, settled %d; want %d, %d", a, s, acknowledged, settled)
		}
	}
	at(10, 10)
	add := func(numbers ...uint64) {
		t.Helper()
		if err := w.add(t.Context(), numbers); err != nil {
			t.Fatal(err)
		}
	}
	add(12, 13, 17)
	w.scan(20)
	at(10, 11)
	full, cancel := context.WithCancel(t.Context())
	cancel()
	if err := w.add(full, []uint64{21, 22}); !errors.Is(err, context.Canceled) {
		t.Errorf("more than the window holds: %v", err)
	}
	if !w.acknowledge(13) || w.acknowledge(13) {
		t.Error("an acknowledgement counts once")
	}
	at(13, 16)
	add(21, 22)
	if !w.acknowledge(25) {
		t.Error("the rest was not taken off")
	}
	at(25, 20)
}

func TestWindowWaitsForRoom(t *testing.T) {
	w := newWindow(1)
	if err := w.add(t.Context(), []uint64{1}); err != nil {
		t.Fatal(err)
	}
	added := make(chan error, 1)
	go func() { added <- w.add(t.Context(), []uint64{2}) }()
	w.acknowledge(1)
	if err := <-added; err != nil {
		t.Error(err)
	}
}

func TestBackoff(t *testing.T) {
	b := backoff{first: 250 * time.Millisecond, longest: 15 * time.Second}
	for range 2 {
		for i, want := range []time.Duration{250, 500, 1000, 2000, 4000, 8000, 15000, 15000} {
			want *= time.Millisecond
			if got := b.next(); got < want*8/10 || got > want*12/10 {
				t.Errorf("pause %d = %v, want %v within a fifth", i, got, want)
			}
		}
		b.reset()
	}
	for range 100 {
		if got := b.next(); got <= 0 || got > 18*time.Second {
			t.Fatalf("pause = %v", got)
		}
	}
}
