package compute

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// DifferenceOf are the two measurements that a formula is the difference of, itself or
// through an intermediate result, and of nothing else.
func (j *Job) DifferenceOf(x *formula.Expression) (a, b procedure.Step, ok bool) {
	if x == nil {
		return a, b, false
	}
	n := x.Root
	for range 100 { // a name stands only for what is above it
		switch {
		case n.Op == formula.OpName:
			inner := j.FormulaOf(n.Name)
			if inner == nil {
				return a, b, false
			}
			n = inner.Root
		case n.Op == formula.OpSubtract && n.Args[0].Op == formula.OpName && n.Args[1].Op == formula.OpName:
			a, _, first := j.P.Step(n.Args[0].Name)
			b, _, second := j.P.Step(n.Args[1].Name)
			return a, b, first && second
		default:
			return a, b, false
		}
	}
	return a, b, false
}
