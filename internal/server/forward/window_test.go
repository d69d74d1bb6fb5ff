package forward

import (
	"context"
	"errors"
	"testing"
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
