package evaluate

import (
	"errors"
	"math/big"
	"slices"
)

// exactly is a part of a formula that has one value.
func exactly(r *big.Rat) openValue { return openValue{r, r} }

// ender finds between which ends parts of formulas lie, each value once.
type ender struct {
	*work
	of map[string]openValue
}

// stepped reports whether an expression looks something up or rounds, itself or
// through the values that it uses: then a result need not lie between those at
// the ends of an interval.
func (w *work) stepped(x *Expression) bool {
	seen := map[string]bool{}
	var look func(n *node) bool
	look = func(n *node) bool {
		switch {
		case n.op == opName && !seen[n.name]:
			seen[n.name] = true
			x := w.formulaOf(n.name)
			return x != nil && look(x.root)
		case n.op == opCall && (n.table != nil || isRounding(n.name)):
			return true
		}
		return slices.ContainsFunc(n.args, look)
	}
	return look(x.root)
}

// ends computes between which ends a node lies, part by part. That is never too
// narrow; it is too wide where one interval enters in several places.
func (w *ender) ends(n *node) (openValue, error) {
	switch n.op {
	case opNumber:
		return exactly(n.number), nil
	case opName:
		return w.endsOfName(n)
	case opCall:
		return w.endsOfCall(n)
	}
	a, err := w.ends(n.args[0])
	if err != nil {
		return openValue{}, err
	}
	b, err := w.ends(n.args[1])
	if err != nil {
		return openValue{}, err
	}
	return n.corners(a, b)
}

// corners are the ends of an operation on two values between theirs.
func (n *node) corners(a, b openValue) (openValue, error) {
	if n.op == opDivide && b.low.Sign() <= 0 && b.high.Sign() >= 0 {
		return openValue{}, errZero
	}
	var all []*big.Rat
	for _, l := range []*big.Rat{a.low, a.high} {
		for _, r := range []*big.Rat{b.low, b.high} {
			x, y := &node{op: opNumber, number: l}, &node{op: opNumber, number: r}
			value, err := (&node{op: n.op, args: []*node{x, y}}).value(nil)
			if err != nil {
				return openValue{}, err
			}
			all = append(all, value)
		}
	}
	return around(all), nil
}

// around are the ends of a list.
func around(list []*big.Rat) openValue {
	return openValue{slices.MinFunc(list, (*big.Rat).Cmp), slices.MaxFunc(list, (*big.Rat).Cmp)}
}

func (w *ender) endsOfName(n *node) (openValue, error) {
	if o, ok := w.open[openKey{step: n.name}]; ok {
		return o, nil
	}
	if known, ok := w.of[n.name]; ok {
		return known, nil
	}
	if x := w.formulaOf(n.name); x != nil {
		s, err := w.ends(x.root)
		w.of[n.name] = s
		return s, err
	}
	r, err := n.value(&w.v)
	return exactly(r), err
}

func (w *ender) endsOfCall(n *node) (openValue, error) {
	if n.over {
		if o, ok := w.open[openKey{n.args[0].name, Take(n.name)}]; ok {
			return o, nil
		}
		r, err := n.value(&w.v)
		return exactly(r), err
	}
	lows, highs := make([]*big.Rat, len(n.args)), make([]*big.Rat, len(n.args))
	for i, arg := range n.args {
		if n.table != nil && n.table.Keys[i].Marks {
			continue
		}
		s, err := w.ends(arg)
		if err != nil {
			return openValue{}, err
		}
		lows[i], highs[i] = s.low, s.high
	}
	return n.span(lows, highs, &w.v)
}

// span are the ends of a function of values between theirs.
func (n *node) span(lows, highs []*big.Rat, v *values) (openValue, error) {
	if n.table != nil {
		return n.table.ends(n, lows, highs, v)
	}
	switch n.name {
	case "range":
		most := new(big.Rat).Sub(statistic("largest", highs), statistic("smallest", lows))
		least := new(big.Rat).Sub(statistic("largest", lows), statistic("smallest", highs))
		if least.Sign() < 0 {
			least = new(big.Rat)
		}
		return openValue{least, most}, nil
	case "abs":
		a, b := statistic("abs", lows), statistic("abs", highs)
		s := around([]*big.Rat{a, b})
		if lows[0].Sign() < 0 && highs[0].Sign() > 0 {
			s.low = new(big.Rat)
		}
		return s, nil
	}
	// The others rise with each of their arguments.
	low, err := n.of(lows)
	if err != nil {
		return openValue{}, err
	}
	high, err := n.of(highs)
	if err != nil {
		return openValue{}, err
	}
	return around([]*big.Rat{low, high}), nil
}

// of computes a function of numbers.
func (n *node) of(list []*big.Rat) (*big.Rat, error) {
	args := make([]*node, len(list))
	for i, r := range list {
		args[i] = &node{op: opNumber, number: r}
	}
	return (&node{op: opCall, name: n.name, args: args, at: n.at}).value(nil)
}

// ends is between which ends a table's value lies while its keys are anywhere
// between theirs. Both ends must stand in the table.
func (t *Table) ends(n *node, lows, highs []*big.Rat, v *values) (openValue, error) {
	for i, k := range t.Keys {
		if k.Marks || t.digits != nil {
			continue
		}
		at := [2]position{}
		for j, x := range []*big.Rat{lows[i], highs[i]} {
			var err error
			if at[j], err = t.find(i, x); err != nil {
				return openValue{}, err
			}
		}
		if t.Mode == TableExact && at[0] != at[1] {
			return openValue{}, refused("%s lies between %s and %s, and the table %s is read exactly: measure with an indicator", k.Name, k.show(lows[i]), k.show(highs[i]), t.Name)
		}
	}
	values, err := t.within(n, lows, highs, v)
	if err != nil {
		return openValue{}, err
	}
	return around(values), nil
}

// reach lists the values that a table may give while its keys are between the
// ends; what lies outside the table, or where nothing is printed, is left out.
func (t *Table) reach(n *node, lows, highs []*big.Rat, v *values) []*big.Rat {
	values, _ := t.within(n, lows, highs, v)
	return values
}

// within lists the values at every row and column that lies between the ends of
// the keys, and at the ends; the greatest and the least of a table in straight
// lines are among them. It also returns the first refusal.
func (t *Table) within(n *node, lows, highs []*big.Rat, v *values) (list []*big.Rat, err error) {
	if t.digits != nil {
		return []*big.Rat{t.digits.value(lows[0]), t.digits.value(highs[0])}, nil
	}
	at := [][]position{nil, {{}}}
	for i := range t.Keys {
		if t.Keys[i].Marks {
			row, no := t.marked(i, n.args[i].name, v)
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
		low, high = rounded(toEven, low, k.step), rounded(toEven, high, k.step)
	}
	for row := range k.low {
		if (k.high[row] == nil || k.high[row].Cmp(low) >= 0) && (k.low[row] == nil || k.low[row].Cmp(high) <= 0) {
			at = append(at, position{row: row})
		}
	}
	return at
}
