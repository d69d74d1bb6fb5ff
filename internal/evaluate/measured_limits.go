package evaluate

import (
	"math"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// measuredLimits reports whether limits follow from measurements, so that a result is
// decided by how far it is from them.
func (w *work) measuredLimits(limits procedure.Bounds) bool {
	return !limits.Negated && len(w.Entering(limits.MinOf, limits.MaxOf)) > 0
}

// besideLimits is the probability that a result lies within limits that follow
// from measurements: each end by the uncertainty of how far the result is from it,
// so that what both have in common cancels. The budget of that difference is
// written down; own is that of the result itself, for an end that is a plain number.
// It reports false where that cannot be told.
func (w *work) besideLimits(own *assessed, name string, x *formula.Expression, g *Judgement, limits procedure.Bounds) (Probability, bool) {
	if !w.measuredLimits(limits) {
		return 0, false
	}
	outside, most := 0.0, -1.0
	for _, end := range []struct {
		called string
		of     *formula.Expression
		away   float64 // of the result from its limit, inwards
		upper  bool
	}{{"lower limit", limits.MinOf, away(g.Allowed.Min, &g.Value), false}, {"upper limit", limits.MaxOf, away(&g.Value, g.Allowed.Max), true}} {
		if math.IsInf(end.away, 1) {
			continue
		}
		a := own
		if end.of != nil {
			a = w.doubts.budget(name+" less its "+end.called, x.Minus(end.of), g.Unit)
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
			most, w.doubts.beside[name] = beyond, a
		}
	}
	return uncertainty.Rounded(max(0, 1-outside)), true
}

// deciding is the uncertainty that decides about a result: its own, or how far it is
// from the limit that it is the likeliest to be beyond.
func (d *doubts) deciding(name string, x *formula.Expression, u gauge.Unit) *assessed {
	if a := d.beside[name]; a != nil {
		return a
	}
	return d.assess(name, x, u)
}

// away is the way from a to b; infinite where one is not limited.
func away[L ~int64](a, b *L) float64 {
	if a == nil || b == nil {
		return math.Inf(1)
	}
	return float64(*b - *a)
}
