package evaluate

import (
	"math"

	"gauged/internal/uncertainty"
)

// besideLimits is the probability that a result lies within limits that follow
// from measurements: each end by the uncertainty of how far the result is from it,
// so that what both have in common cancels. It reports false for limits that are
// plain numbers.
func (w *work) besideLimits(x *Expression, g *Judgement, limits Bounds) (Probability, bool) {
	if limits.negated || len(w.entering(limits.MinOf, limits.MaxOf)) == 0 {
		return 0, false
	}
	outside := 0.0
	for _, end := range []struct {
		of   *Expression
		away float64 // of the result from its limit, inwards
	}{{limits.MinOf, away(g.Allowed.Min, &g.Value)}, {limits.MaxOf, away(&g.Value, g.Allowed.Max)}} {
		if math.IsInf(end.away, 1) {
			continue
		}
		difference := x
		if end.of != nil {
			difference = x.minus(end.of)
		}
		a, _ := w.doubts.assessed(difference, g.Unit)
		if a == nil {
			return 0, false
		}
		outside += a.budget.Shaped(0, end.away, math.Inf(1))
	}
	return uncertainty.Rounded(max(0, 1-outside)), true
}

// away is the way from a to b; infinite where one is not limited.
func away[L ~int64](a, b *L) float64 {
	if a == nil || b == nil {
		return math.Inf(1)
	}
	return float64(*b - *a)
}

// minus is the difference of two formulas.
func (e *Expression) minus(o *Expression) *Expression {
	return &Expression{
		text: e.text + " - (" + o.text + ")", root: &node{op: opSubtract, args: []*node{e.root, o.root}},
		names: append(append([]string(nil), e.names...), o.names...), of: e.of, linear: e.linear && o.linear,
	}
}
