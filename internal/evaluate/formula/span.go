package formula

import (
	"errors"
	"math/big"
	"slices"

	"gauged/internal/gauge"
)

// Interval is a measurement, or a part of a formula, that is known only to lie
// between two ends, as a feeler gauge leaves it.
type Interval struct{ Low, High *big.Rat }

// Exactly is a part of a formula that has one value.
func Exactly(r *big.Rat) Interval { return Interval{r, r} }

// Corners are the ends of a sum, difference, product or quotient of two values between
// theirs; a divisor that may be zero is a *DomainError.
func (n *Node) Corners(a, b Interval) (Interval, error) {
	if n.Op == OpDivide && b.Low.Sign() <= 0 && b.High.Sign() >= 0 {
		return Interval{}, errZero
	}
	var all []*big.Rat
	for _, l := range []*big.Rat{a.Low, a.High} {
		for _, r := range []*big.Rat{b.Low, b.High} {
			x, y := &Node{Op: OpNumber, Number: l}, &Node{Op: OpNumber, Number: r}
			value, err := (&Node{Op: n.Op, Args: []*Node{x, y}}).Compute(nil)
			if err != nil {
				return Interval{}, err
			}
			all = append(all, value)
		}
	}
	return Around(all), nil
}

// Around is from the least to the greatest of a list of at least one value.
func Around(list []*big.Rat) Interval {
	return Interval{slices.MinFunc(list, (*big.Rat).Cmp), slices.MaxFunc(list, (*big.Rat).Cmp)}
}

// Span is between which ends a call of a function or a table lies while its arguments
// are between lows and highs, which have nothing for a mark; v has the marks. Both
// ends must stand in the table, else it is a *RefusalError.
func (n *Node) Span(lows, highs []*big.Rat, v *Values) (Interval, error) {
	if n.Table != nil {
		return n.Table.ends(n, lows, highs, v)
	}
	switch n.Name {
	case "range":
		most := new(big.Rat).Sub(Statistic("largest", highs), Statistic("smallest", lows))
		least := new(big.Rat).Sub(Statistic("largest", lows), Statistic("smallest", highs))
		if least.Sign() < 0 {
			least = new(big.Rat)
		}
		return Interval{least, most}, nil
	case "abs":
		a, b := Statistic("abs", lows), Statistic("abs", highs)
		s := Around([]*big.Rat{a, b})
		if lows[0].Sign() < 0 && highs[0].Sign() > 0 {
			s.Low = new(big.Rat)
		}
		return s, nil
	}
	// The others rise with each of their arguments.
	low, err := n.of(lows)
	if err != nil {
		return Interval{}, err
	}
	high, err := n.of(highs)
	if err != nil {
		return Interval{}, err
	}
	return Around([]*big.Rat{low, high}), nil
}

// of computes a function of numbers.
func (n *Node) of(list []*big.Rat) (*big.Rat, error) {
	args := make([]*Node, len(list))
	for i, r := range list {
		args[i] = &Node{Op: OpNumber, Number: r}
	}
	return (&Node{Op: OpCall, Name: n.Name, Args: args, at: n.at}).Compute(nil)
}

// ends is between which ends a table's value lies while its keys are anywhere
// between theirs. Both ends must stand in the table.
func (t *Table) ends(n *Node, lows, highs []*big.Rat, v *Values) (Interval, error) {
	for i, k := range t.Keys {
		if k.Marks || t.digits != nil {
			continue
		}
		at := [2]position{}
		for j, x := range []*big.Rat{lows[i], highs[i]} {
			var err error
			if at[j], err = t.find(i, x); err != nil {
				return Interval{}, err
			}
		}
		if t.Mode == TableExact && at[0] != at[1] {
			return Interval{}, refused("formula.table_open", gauge.Text("table", t.Name), gauge.Text("key", k.Name), k.tell("low", lows[i]), k.tell("high", highs[i]))
		}
	}
	values, err := t.within(n, lows, highs, v)
	if err != nil {
		return Interval{}, err
	}
	return Around(values), nil
}

// Reach lists the values that a call of a table may give while its keys are between
// lows and highs; what lies outside the table, or where nothing is printed, is left out.
func (n *Node) Reach(lows, highs []*big.Rat, v *Values) []*big.Rat {
	values, _ := n.Table.within(n, lows, highs, v)
	return values
}

// within lists the values at every row and column that lies between the ends of
// the keys, and at the ends; the greatest and the least of a table in straight
// lines are among them. It also returns the first refusal.
func (t *Table) within(n *Node, lows, highs []*big.Rat, v *Values) (list []*big.Rat, err error) {
	if t.digits != nil {
		return []*big.Rat{t.digits.value(lows[0]), t.digits.value(highs[0])}, nil
	}
	at := [][]position{nil, {{}}}
	for i := range t.Keys {
		if t.Keys[i].Marks {
			row, no := t.marked(i, n.Args[i].Name, v)
			if no != nil {
				return nil, no
			}
			at[i] = []position{{row: row}}
			continue
		}
		at[i] = t.between(i, lows[i], highs[i])
	}
	for _, row := range at[0] {
		for _, column := range at[1] {
			value, no := t.value([]position{row, column}[:len(t.Keys)])
			if no != nil {
				err = errors.Join(err, no)
				continue
			}
			list = append(list, value)
		}
	}
	return list, err
}

// between lists the rows that a key passes between two values, and where the
// ends themselves lie.
func (t *Table) between(key int, low, high *big.Rat) []position {
	k := &t.Keys[key]
	var at []position
	for _, x := range []*big.Rat{low, high} {
		if p, err := t.find(key, x); err == nil {
			at = append(at, p)
		}
	}
	if k.step != nil {
		low, high = Round(toEven, low, k.step), Round(toEven, high, k.step)
	}
	for row := range k.Low {
		if (k.High[row] == nil || k.High[row].Cmp(low) >= 0) && (k.Low[row] == nil || k.Low[row].Cmp(high) <= 0) {
			at = append(at, position{row: row})
		}
	}
	return at
}
