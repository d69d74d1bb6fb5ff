package drift

import (
	"fmt"
	"math"
	"time"

	"gauged/internal/gauge"
)

// Check is one check of a gauge against a known value.
type Check struct {
	Time        time.Time
	Found       float64  // error as found: indication less true value
	Uncertainty float64  // standard uncertainty of the errors, of what is independent from check to check; 0: not known
	Shared      float64  // standard uncertainty of what all checks at the point have in common, such as the certificate of the master
	Expanded    float64  // expanded uncertainty (95 %) of the error, as the check itself states it; 0: twice the standard one
	Left        *float64 // error as left after an adjustment; nil: not adjusted, or not looked at
	Adjusted    bool     // it was adjusted, and the error as left is not known
	Spread      float64  // standard deviation of the repeats of the check; 0: not known
	Repeats     int      // how many repeats; 0 or 1: the spread is not known
	Uses        float64  // uses of the gauge so far; 0: not counted, unless it is Unused
	Unused      bool     // Uses is 0 and counted
	Verdict     Verdict  // of the check at this point
	Aside       bool     // it moves the trend, and ends no interval, as a zero return
	Seq         uint64   // number of the check in a history; 0: it has none
}

// Around is the expanded uncertainty of the error: that of the check itself, where it states
// one.
func (c Check) Around() float64 {
	if c.Expanded > 0 {
		return c.Expanded
	}
	return 2 * math.Hypot(c.Uncertainty, c.Shared)
}

// Changed says that the gauge was adjusted after the check: what follows is of
// another level.
func (c Check) Changed() bool { return c.Left != nil || c.Adjusted }

// Verdict is what a check said of the gauge at a point.
type Verdict string

// The verdicts. One that is not known is empty.
const (
	Passed    Verdict = "pass"
	Failed    Verdict = "fail"
	Undecided Verdict = "undecided"
)

// WrongCheck is what is wrong with a check.
type WrongCheck struct {
	Of   string // time, error, uncertainty, shared, left, spread, repeats or uses
	what gauge.Message
}

// Error says what is wrong with the check.
func (w *WrongCheck) Error() string { return w.what.String() }

// Tell says the same as a message.
func (w *WrongCheck) Tell() gauge.Message { return w.what }

// Valid says what is wrong with c, as a [WrongCheck], by itself or after the check
// before it; the first has none.
func (c Check) Valid(before *Check) error {
	wrong := func(of, code string, args ...gauge.Arg) error {
		return &WrongCheck{of, gauge.Say(code, args...)}
	}
	switch {
	case !finite(c.Found):
		return wrong("error", "refusal.drift.found")
	case !finite(c.Uncertainty) || c.Uncertainty < 0:
		return wrong("uncertainty", "refusal.drift.uncertainty", given(c.Uncertainty))
	case !finite(c.Shared) || c.Shared < 0:
		return wrong("shared", "refusal.drift.shared", given(c.Shared))
	case c.Left != nil && !finite(*c.Left):
		return wrong("left", "refusal.drift.left")
	case !finite(c.Spread) || c.Spread < 0:
		return wrong("spread", "refusal.drift.spread", given(c.Spread))
	case c.Repeats < 0:
		return wrong("repeats", "refusal.drift.repeats", gauge.Count("count", c.Repeats))
	case c.Spread > 0 && c.Repeats < 2:
		return wrong("spread", "refusal.drift.spread-repeats")
	case !finite(c.Uses) || c.Uses < 0:
		return wrong("uses", "refusal.drift.uses", given(c.Uses))
	case before == nil:
		return nil
	case c.Time.Before(before.Time):
		return wrong("time", "refusal.drift.time-order")
	case c.Uses < before.Uses:
		return wrong("uses", "refusal.drift.uses-fall", plain("before", before.Uses), given(c.Uses))
	}
	return nil
}

// Days returns the days from origin to t.
func Days(origin, t time.Time) float64 { return t.Sub(origin).Hours() / 24 }

// Date returns the time that lies days after origin, which is in UTC.
func Date(origin time.Time, days float64) time.Time {
	whole, rest := math.Modf(days)
	return origin.AddDate(0, 0, int(whole)).Add(time.Duration(rest * 24 * float64(time.Hour)))
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func noChecks() error { return gauge.WrongInput("trend.no_checks") }

// given is a number as it was given.
func given(x float64) gauge.Arg { return plain("given", x) }

func plain(name string, x float64) gauge.Arg {
	return gauge.Shown(name, fmt.Sprintf("%g", x), gauge.UnitUnknown)
}
