package doubt

import (
	"math"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// DecideBeside reports whether the limits of a result follow from measurements, so that it
// is decided by how far it is from them, which is asked first.
func (d *Doubts) DecideBeside(name string, limits procedure.Bounds) bool {
	beside := measuredLimits(d.Job, limits)
	if beside {
		d.beside[name] = nil
	}
	return beside
}

func measuredLimits(j *compute.Job, limits procedure.Bounds) bool {
	return !limits.Negated && len(j.Entering(limits.MinOf, limits.MaxOf)) > 0
}

// Beside is the probability that a result lies within limits that follow
// from measurements: each end by the uncertainty of how far the result is from it,
// so that what both have in common cancels. The budget of that difference is
// written down; own is that of the result itself, for an end that is a plain number.
// It reports false where that cannot be told.
func (d *Doubts) Beside(own *Assessed, name string, x *formula.Expression, value gauge.Length, allowed procedure.Limits, u gauge.Unit, limits procedure.Bounds) (uncertainty.Probability, bool) {
	if !measuredLimits(d.Job, limits) {
		return 0, false
	}
	outside, most := 0.0, -1.0
	for _, end := range []struct {
		called string
		of     *formula.Expression
		away   float64 // of the result from its limit, inwards
		upper  bool
	}{{"lower limit", limits.MinOf, away(allowed.Min, &value), false}, {"upper limit", limits.MaxOf, away(&value, allowed.Max), true}} {
		if math.IsInf(end.away, 1) {
			continue
		}
		a := own
		if end.of != nil {
			a = d.BudgetOf(name+" less its "+end.called, x.Minus(end.of), u)
		}
		if a == nil {
			return 0, false
		}
		beyond := a.budget.Shaped(0, end.away, math.Inf(1))
		switch {
		case a.bent != nil && end.upper:
			beyond = a.bent.Probability(end.away, math.Inf(1))
		case a.bent != nil:
			beyond = a.bent.Probability(math.Inf(-1), -end.away)
		}
		if outside += beyond; beyond > most {
			most, d.beside[name] = beyond, a
		}
	}
	return uncertainty.Rounded(max(0, 1-outside)), true
}

// Deciding is the uncertainty that decides about a result: its own, or how far it is
// from the limit that it is the likeliest to be beyond.
func (d *Doubts) Deciding(name string, x *formula.Expression, u gauge.Unit) *Assessed {
	if a := d.beside[name]; a != nil {
		return a
	}
	return d.Assess(name, x, u)
}

// away is the way from a to b; infinite where one is not limited.
func away[L ~int64](a, b *L) float64 {
	if a == nil || b == nil {
		return math.Inf(1)
	}
	return float64(*b - *a)
}
