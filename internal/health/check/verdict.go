package check

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Verdict is what a check says of the gauge, at a point or as a whole.
type Verdict string

// The verdicts. A limit within the uncertainty leaves it undecided.
const (
	Pass      Verdict = "pass"
	Fail      Verdict = "fail"
	Undecided Verdict = "undecided"
	Unlimited Verdict = "no limit" // the gauge's maximum permissible error is not stated
)

// Required is the probability that proves a point within its limit, or beyond it,
// as in the verdicts of jobs (ISO 14253-1). Of gauges that are exactly at the limit
// one point in twenty passes, whatever the number of repeats.
const Required = uncertainty.Certain * 95 / 100

// decide holds the error at a point, with its own uncertainty, against the limit on
// either side. An uncertainty larger than the limit makes nearly every error improbable
// within it, also one that is: then a point fails only where the error is beyond the
// limit by more than its uncertainty. Student's t stands for what few repeats do not tell. Where nothing is
// known of the scatter, no probability is, and the point never passes; it fails when
// the error is beyond the limit by more than all that is known.
func (in Input) decide(p *PointResult) {
	limit := in.Ability.Error
	if limit == nil {
		p.Verdict = Unlimited
		return
	}
	freedom := p.Freedom
	if freedom == 0 {
		freedom = math.Inf(1)
	}
	b := uncertainty.Budget{Standard: p.Standard, Freedom: freedom}
	within := uncertainty.Rounded(b.Probability(p.Error.Metres(), -limit.Metres(), limit.Metres()))
	switch v := uncertainty.Decide(within, Required); {
	case v == uncertainty.DoesNotConform && (p.Expanded() <= *limit || p.Error.Abs()-*limit > p.Expanded()):
		p.Verdict = Fail
	case v == uncertainty.Conforms && !p.ScatterUnknown:
		p.Verdict = Pass
	default:
		p.Verdict = Undecided
	}
	if !p.ScatterUnknown {
		p.Within = &within
	}
}

// together is the verdict of a check: it fails when one point fails, and passes
// when all do.
func together(points []PointResult, limit *gauge.Length) Verdict {
	if limit == nil {
		return Unlimited
	}
	verdict := Pass
	for _, p := range points {
		switch p.Verdict {
		case Fail:
			return Fail
		case Undecided:
			verdict = Undecided
		}
	}
	return verdict
}

// Decides is the point that gives the check its verdict: of those with that verdict
// the one with the largest error. In a check that was stored before each point had
// its verdict it is the worst.
func (r Result) Decides() PointResult {
	var found *PointResult
	for i := range r.Points {
		p := &r.Points[i]
		if p.Verdict == r.Verdict && (found == nil || p.Error.Abs() > found.Error.Abs()) {
			found = p
		}
	}
	if found == nil {
		return r.Worst
	}
	return *found
}

// Known reports whether anything is known of how well the gauge repeats, at one
// point at least.
func (r Result) Known() bool {
	for _, p := range r.Points {
		if p.Standard > 0 {
			return true
		}
	}
	return false
}
