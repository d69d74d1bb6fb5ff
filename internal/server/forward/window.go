package forward

import (
	"context"
	"slices"
	"sync"
)

// window bounds the readings that are sent and not yet acknowledged, and knows
// how far the history is settled at the other side.
type window struct {
	most int

	mu           sync.Mutex
	inFlight     []uint64 // numbers of readings, rising
	scanned      uint64   // every reading up to here has been sent
	acknowledged uint64
	freed        chan struct{} // closed and replaced when readings are acknowledged
}

func newWindow(most int) *window { return &window{most: most, freed: make(chan struct{})} }

// begin starts anew after the last number that the other side has.
func (w *window) begin(after uint64) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.inFlight, w.scanned, w.acknowledged = nil, after, after
}

// add waits until there is room for the readings, and counts them as sent.
// There must not be more of them than the window holds.
func (w *window) add(ctx context.Context, numbers []uint64) error {
	for {
		w.mu.Lock()
		if len(w.inFlight)+len(numbers) <= w.most {
			w.inFlight = append(w.inFlight, numbers...)
			w.mu.Unlock()
			return nil
		}
		freed := w.freed
		w.mu.Unlock()
		select {
		case <-freed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// scan notes that every reading up to a number has been added.
func (w *window) scan(through uint64) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.scanned = through
}

// acknowledge takes off what the other side has stored, and reports whether
// that was anything.
func (w *window) acknowledge(through uint64) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	n, found := slices.BinarySearch(w.inFlight, through)
	if found {
		n++
	}
	w.inFlight = slices.Delete(w.inFlight, 0, n)
	w.acknowledged = max(w.acknowledged, through)
	if n > 0 {
		close(w.freed)
		w.freed = make(chan struct{})
	}
	return n > 0
}

// position returns the number of the last acknowledged reading, and that of the
// entry up to which nothing remains to be sent or acknowledged.
func (w *window) position() (acknowledged, settled uint64) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.inFlight) > 0 {
		return w.acknowledged, w.inFlight[0] - 1
	}
	return w.acknowledged, w.scanned
}
