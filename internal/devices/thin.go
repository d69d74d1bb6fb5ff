package devices

import (
	"fmt"
	"time"

	"gauged/internal/gauge"
)

// A line that is all noise must not fill the history: of each reason the first
// rejections in a second are reported one by one, the rest of that second as
// one event that stands for all of them.
const (
	thinWindow = time.Second
	thinFirst  = 10
)

// thinner thins the rejections of one gauge.
type thinner struct {
	sink   func(Event)
	began  time.Time
	counts map[gauge.Reason]uint64
	last   map[gauge.Reason]gauge.Reject
}

func newThinner(sink func(Event)) *thinner {
	return &thinner{sink: sink, counts: map[gauge.Reason]uint64{}, last: map[gauge.Reason]gauge.Reject{}}
}

// add reports a rejection now or with the next flush. It says whether one is due.
func (t *thinner) add(r gauge.Reject, now time.Time) (held bool) {
	if now.Sub(t.began) >= thinWindow {
		t.flush()
		t.began = now
	}
	t.counts[r.Reason]++
	if t.counts[r.Reason] <= thinFirst {
		t.sink(Event{Reject: &r, Count: 1})
		return false
	}
	t.last[r.Reason] = r
	return true
}

// flush reports what was held and begins a new window.
func (t *thinner) flush() {
	for _, reason := range gauge.Reasons {
		if r, held := t.last[reason]; held {
			count := t.counts[reason] - thinFirst
			if count > 1 {
				r.Detail += fmt.Sprintf(" (the last of %d of this kind that are not listed)", count)
			}
			t.sink(Event{Reject: &r, Count: count})
		}
	}
	t.began = time.Time{}
	clear(t.counts)
	clear(t.last)
}
