package health

import (
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// Settled is a check that decides about what was measured before it: it passed
// or failed as the gauge was found.
type Settled struct {
	Seq    uint64
	Time   time.Time
	Zero   bool // a zero return
	Failed bool
	Worst  gauge.Length
	Limit  gauge.Length
}

// settle notes a check that decides about the work before it. A zero return
// decides only when it fails.
func (h *Gauge) settle(c *check.Record) {
	verdict := c.Result.Verdict
	if verdict == check.Undecided || c.Aside() && verdict != check.Fail {
		return
	}
	s := Settled{Seq: c.Settles(), Time: c.Time, Zero: c.Zero, Failed: verdict == check.Fail, Worst: c.Result.Decides().Error}
	if c.Result.Limit != nil {
		s.Limit = *c.Result.Limit
	}
	h.settled = append(h.settled, s)
}

// SettledAfter is the first check after a number of the history that decides about
// what was measured before it; nil when there is none yet.
func (h *Gauge) SettledAfter(seq uint64) *Settled {
	i, _ := slices.BinarySearchFunc(h.settled, seq, func(s Settled, seq uint64) int {
		if s.Seq <= seq {
			return -1
		}
		return 1
	})
	if i == len(h.settled) {
		return nil
	}
	return &h.settled[i]
}

// Its names the check in a sentence about its gauge.
func (s *Settled) Its() gauge.Message { return its(s.Zero, s.Time) }

// its names a check of a gauge in a sentence about that gauge.
func its(zero bool, t time.Time) gauge.Message {
	code := "its.check"
	if zero {
		code = "its.zero-return"
	}
	return gauge.Say(code, gauge.Moment("day", t))
}
