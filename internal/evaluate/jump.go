package evaluate

import (
	"math/big"

	"gauged/internal/uncertainty"
)

// nearBorder ends the name of the contribution of a table or a rounding that
// gives another value within the uncertainty of what is looked up.
const nearBorder = ": near the next step"

// steps reports whether a function gives another value all at once when its
// argument passes a border.
func (n *node) steps() bool {
	return isRounding(n.name) || n.table != nil && n.table.Mode != TableInterpolate
}

// lookUp is the slope of a table or a rounding. Between the rows of an
// interpolated table it is that of the straight line. Where values step it is
// nought, and the uncertainty of the argument counts by what it reaches: nothing
// far from a border; near one, an error of the whole step either way.
func (s *slopes) lookUp(n *node) slope {
	value, err := n.value(&s.w.v)
	if err != nil {
		return slope{} // not measured yet, or refused where it is evaluated
	}
	if !n.steps() {
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
	of := s.leaf(leaf{name: n.name + nearBorder, stepping: n, jump: float(jump)}, nil)
	result.by = of.by
	return result
}

// reachOf lists the values that a table or a rounding may give while its
// arguments are within twice their standard uncertainty.
func (s *slopes) reachOf(n *node) []*big.Rat {
	lows, highs := make([]*big.Rat, len(n.args)), make([]*big.Rat, len(n.args))
	var step *big.Rat // of a rounding, as it is
	for i, arg := range n.args {
		if n.table != nil && n.table.Keys[i].Marks {
			continue
		}
		x, err := arg.value(&s.w.v)
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
	if n.table == nil {
		return []*big.Rat{rounded(n.name, lows[0], step), rounded(n.name, highs[0], step)}
	}
	return n.table.reach(n, lows, highs, &s.w.v)
}

// standard is the standard uncertainty of a part of a formula, in what is
// computed with.
func (s *slopes) standard(n *node) float64 {
	known := s.w.doubts.standards
	u, ok := known[n]
	if !ok {
		u = s.standardOf(n)
		known[n] = u
	}
	return u
}

func (s *slopes) standardOf(n *node) float64 {
	c := s.w.doubts.inputs(&Expression{root: n})
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
func (s *slopes) line(n *node, value float64) slope {
	result := slope{value: value}
	at := make([]position, len(n.args))
	for i, arg := range n.args {
		x, err := arg.value(&s.w.v)
		if err != nil {
			return result
		}
		if at[i], err = n.table.find(i, x); err != nil {
			return result
		}
	}
	for i, arg := range n.args {
		key := s.node(arg)
		result.by = combined(result.by, 1, key.by, n.table.rise(i, at))
		result.bends = result.bends || key.bends
	}
	return result
}

// rise is by how much an interpolated value rises with a key.
func (t *Table) rise(key int, at []position) float64 {
	k := &t.Keys[key]
	rows := []int{at[key].row}
	if at[key].share == nil && at[key].row > 0 {
		rows = append(rows, at[key].row-1)
	}
	steepest := 0.0
	for _, row := range rows {
		if row+1 >= len(k.low) {
			continue
		}
		here, there := append([]position{}, at...), append([]position{}, at...)
		here[key], there[key] = position{row: row}, position{row: row + 1}
		low, err := t.value(here)
		high, err2 := t.value(there)
		if err != nil || err2 != nil {
			continue
		}
		rise := float(new(big.Rat).Quo(new(big.Rat).Sub(high, low), new(big.Rat).Sub(k.low[row+1], k.low[row])))
		if rise*rise > steepest*steepest {
			steepest = rise
		}
	}
	return steepest
}
