package compute

import (
	"math/big"
	"slices"

	"gauged/internal/evaluate/formula"
)

// ender finds between which ends parts of formulas lie, each value once.
type ender struct {
	*Job
	of map[string]formula.Interval
}

// Ends computes between which ends a node lies, part by part. That is never too
// narrow; it is too wide where one interval enters in several places.
func (j *Job) Ends(n *formula.Node) (formula.Interval, error) {
	return (&ender{j, map[string]formula.Interval{}}).ends(n)
}

// Stepped reports whether an expression looks something up or rounds, itself or
// through the values that it uses: then a result need not lie between those at
// the ends of an interval.
func (j *Job) Stepped(x *formula.Expression) bool {
	seen := map[string]bool{}
	var look func(n *formula.Node) bool
	look = func(n *formula.Node) bool {
		switch {
		case n.Op == formula.OpName && !seen[n.Name]:
			seen[n.Name] = true
			x := j.FormulaOf(n.Name)
			return x != nil && look(x.Root)
		case n.Op == formula.OpCall && (n.Table != nil || formula.IsRounding(n.Name)):
			return true
		}
		return slices.ContainsFunc(n.Args, look)
	}
	return look(x.Root)
}

// ends is Ends, which computes each value once.
func (j *ender) ends(n *formula.Node) (formula.Interval, error) {
	switch n.Op {
	case formula.OpNumber:
		return formula.Exactly(n.Number), nil
	case formula.OpName:
		return j.endsOfName(n)
	case formula.OpCall:
		return j.endsOfCall(n)
	}
	a, err := j.ends(n.Args[0])
	if err != nil {
		return formula.Interval{}, err
	}
	b, err := j.ends(n.Args[1])
	if err != nil {
		return formula.Interval{}, err
	}
	return n.Corners(a, b)
}

func (j *ender) endsOfName(n *formula.Node) (formula.Interval, error) {
	if o, ok := j.Open[formula.Taken{Step: n.Name}]; ok {
		return o, nil
	}
	if known, ok := j.of[n.Name]; ok {
		return known, nil
	}
	if x := j.FormulaOf(n.Name); x != nil {
		s, err := j.ends(x.Root)
		j.of[n.Name] = s
		return s, err
	}
	r, err := n.Compute(&j.V)
	return formula.Exactly(r), err
}

func (j *ender) endsOfCall(n *formula.Node) (formula.Interval, error) {
	if n.Over {
		if o, ok := j.Open[formula.Taken{Step: n.Args[0].Name, Take: n.Name}]; ok {
			return o, nil
		}
		r, err := n.Compute(&j.V)
		return formula.Exactly(r), err
	}
	lows, highs := make([]*big.Rat, len(n.Args)), make([]*big.Rat, len(n.Args))
	for i, arg := range n.Args {
		if n.Table != nil && n.Table.Keys[i].Marks {
			continue
		}
		s, err := j.ends(arg)
		if err != nil {
			return formula.Interval{}, err
		}
		lows[i], highs[i] = s.Low, s.High
	}
	return n.Span(lows, highs, &j.V)
}
