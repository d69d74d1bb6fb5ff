package mqtt

import (
	"time"

	"gauged/internal/gauge"
)

// thinning keeps of each gauge its newest reading until that may be handed on: not sooner
// than so long after the one before. So the last reading before a silence always comes.
type thinning struct {
	every  time.Duration
	gauges map[string]*newest
}

type newest struct {
	waits gauge.Fact // without a reading: nothing waits
	begun time.Time  // when the one before was handed on
}

func newThinning(every time.Duration) *thinning {
	return &thinning{every: every, gauges: map[string]*newest{}}
}

// came takes up a reading, and reports whether it takes the place of one that waits.
func (t *thinning) came(f gauge.Fact) (replaces bool) {
	n := t.gauges[f.Reading.Gauge]
	if n == nil {
		n = &newest{}
		t.gauges[f.Reading.Gauge] = n
	}
	replaces = n.waits.Reading != nil
	n.waits = f
	return replaces
}

// due takes out the earliest reading that may be handed on now. Without one, next is when
// there will be one; zero: nothing waits.
func (t *thinning) due(now time.Time) (f gauge.Fact, next time.Time) {
	var found *newest
	for _, n := range t.gauges {
		if n.waits.Reading == nil {
			continue
		}
		if at := n.begun.Add(t.every); at.After(now) {
			if next.IsZero() || at.Before(next) {
				next = at
			}
			continue
		}
		if found == nil || n.waits.Seq < found.waits.Seq {
			found = n
		}
	}
	if found == nil {
		return gauge.Fact{}, next
	}
	f, found.waits, found.begun = found.waits, gauge.Fact{}, now
	return f, time.Time{}
}

// back takes a reading back that could not be handed on, unless a later one waits, and reports
// whether it did.
func (t *thinning) back(f gauge.Fact) bool {
	n := t.gauges[f.Reading.Gauge]
	if n.waits.Reading != nil {
		return false
	}
	n.waits, n.begun = f, time.Time{}
	return true
}
