package devices

import (
	"time"

	"gauged/internal/gauge"
)

// A line that is all noise must not fill the history: of each reason the first
// rejections in a window are reported one by one, the rest of that window as
// one event that stands for all of them.
const (
	thinWindow = time.Second
	thinFirst  = 10
	// Frames of a channel that no gauge has may come for years.
	strangerWindow = time.Minute
	strangerFirst  = 1
)

// thinner thins the rejections of one gauge.
type thinner struct {
	sink   func(Event)
	window time.Duration
	first  uint64    // so many of a reason are reported one by one
	until  time.Time // when the next flush is due; zero while nothing is held back
	began  time.Time
	counts map[gauge.Reason]uint64
	last   map[gauge.Reason]gauge.Reject
}

func newThinner(sink func(Event), window time.Duration, first uint64) *thinner {
	return &thinner{
		sink: sink, window: window, first: first,
		counts: map[gauge.Reason]uint64{}, last: map[gauge.Reason]gauge.Reject{},
	}
}

// add reports a rejection now or with the next flush.
func (t *thinner) add(r gauge.Reject, now time.Time) {
	if now.Sub(t.began) >= t.window {
		t.flush()
		t.began = now
	}
	t.counts[r.Reason]++
	if t.counts[r.Reason] <= t.first {
		t.sink(Event{Reject: &r, Count: 1})
		return
	}
	t.last[r.Reason] = r
	t.until = t.began.Add(t.window)
}

// flush reports what was held and begins a new window.
func (t *thinner) flush() {
	for _, reason := range gauge.Reasons {
		if r, held := t.last[reason]; held {
			count := t.counts[reason] - t.first
			if count > 1 {
				r.Detail = gauge.Say("because.thinned", gauge.Nested("detail", r.Detail), gauge.Count("count", count))
			}
			t.sink(Event{Reject: &r, Count: count})
		}
	}
	t.began, t.until = time.Time{}, time.Time{}
	clear(t.counts)
	clear(t.last)
}
