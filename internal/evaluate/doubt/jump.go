package doubt

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/uncertainty"
)

// nearBorder ends the name of the contribution of a table or a rounding that
// gives another value within the uncertainty of what is looked up.
const nearBorder = ": near the next step"

// lookUp is the slope of a table or a rounding. Between the rows of an
// interpolated table it is that of the straight line. Where values step it is
// nought, and the uncertainty of the argument counts by what it reaches: nothing
// far from a border; near one, an error of the whole step either way.
func (s *slopes) lookUp(n *formula.Node) slope {
	value, err := n.Compute(&s.d.V)
	if err != nil {
		return slope{} // not measured yet, or refused where it is evaluated
	}
	if !n.Steps() {
		return s.line(n, float(value))
	}
	result := slope{value: float(value)}
	jump := new(big.Rat)
	for _, end := range s.reachOf(n) {
		if off := new(big.Rat).Sub(end, value); off.Abs(off).Cmp(jump) > 0 {
			jump = off
		}
	}
	if jump.Sign() == 0 {
		return result
	}
	of := s.leaf(leaf{name: n.Name + nearBorder, stepping: n, jump: float(jump)}, nil)
	result.by = of.by
	return result
}

// Reach lists the values that a table or a rounding may give while its arguments are
// within twice their standard uncertainty.
func (d *Doubts) Reach(n *formula.Node) []*big.Rat { return newSlopes(d).reachOf(n) }

// StandardOf is the standard uncertainty of a part of a formula, in what is computed
// with.
func (d *Doubts) StandardOf(n *formula.Node) float64 { return newSlopes(d).standard(n) }

// reachOf lists the values that a table or a rounding may give while its
// arguments are within twice their standard uncertainty.
func (s *slopes) reachOf(n *formula.Node) []*big.Rat {
	lows, highs := make([]*big.Rat, len(n.Args)), make([]*big.Rat, len(n.Args))
	var step *big.Rat // of a rounding, as it is
	for i, arg := range n.Args {
		if n.Table != nil && n.Table.Keys[i].Marks {
			continue
		}
		x, err := arg.Compute(&s.d.V)
		if err != nil {
			return nil
		}
		step = x
		span := new(big.Rat)
		if u := s.standard(arg); u > 0 && span.SetFloat64(2*u) == nil {
			return nil
		}
		lows[i], highs[i] = new(big.Rat).Sub(x, span), new(big.Rat).Add(x, span)
	}
	if n.Table == nil {
		return []*big.Rat{formula.Round(n.Name, lows[0], step), formula.Round(n.Name, highs[0], step)}
	}
	return n.Reach(lows, highs, &s.d.V)
}

// standard looks at each part of a formula once.
func (s *slopes) standard(n *formula.Node) float64 {
	known := s.d.standards
	u, ok := known[n]
	if !ok {
		u = s.standardOf(n)
		known[n] = u
	}
	return u
}

func (s *slopes) standardOf(n *formula.Node) float64 {
	c := s.d.inputs(&formula.Expression{Root: n})
	if len(c.inputs) == 0 {
		return 0
	}
	budget, err := uncertainty.Combine(c.inputs, c.slopes)
	if err != nil {
		return 0
	}
	return budget.Standard
}

// line is the slope of an interpolated table; where two straight lines meet, that
// of the steeper.
func (s *slopes) line(n *formula.Node, value float64) slope {
	result := slope{value: value}
	keys := make([]*big.Rat, len(n.Args))
	for i, arg := range n.Args {
		x, err := arg.Compute(&s.d.V)
		if err != nil {
			return result
		}
		keys[i] = x
	}
	rises, err := n.Table.Rises(keys)
	if err != nil {
		return result
	}
	for i, arg := range n.Args {
		key := s.node(arg)
		result.by = combined(result.by, 1, key.by, float(rises[i]))
		result.bends = result.bends || key.bends
	}
	return result
}
