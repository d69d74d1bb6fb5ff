package compute

import (
	"fmt"
	"math/big"

	"gauged/internal/evaluate/formula"
)

// spread is a quantity that may be off: its middle, and by how much each of the
// things that may be off moves it at most, with the sign in which it does. What
// stands in it twice moves it together, so that it cancels where it cancels. All
// is exact.
type spread struct {
	middle *big.Rat
	by     map[string]*big.Rat
}

// open is between what ends the quantity lies.
func (s spread) open() formula.Interval {
	off := new(big.Rat)
	for _, b := range s.by {
		off.Add(off, new(big.Rat).Abs(b))
	}
	return formula.Interval{Low: new(big.Rat).Sub(s.middle, off), High: new(big.Rat).Add(s.middle, off)}
}

// times is the quantity multiplied by a number.
func (s spread) times(f *big.Rat) spread {
	product := spread{new(big.Rat).Mul(s.middle, f), make(map[string]*big.Rat, len(s.by))}
	for name, b := range s.by {
		product.by[name] = new(big.Rat).Mul(b, f)
	}
	return product
}

// plus is the sum of two quantities.
func (s spread) plus(o spread) spread {
	sum := spread{new(big.Rat).Add(s.middle, o.middle), make(map[string]*big.Rat, len(s.by)+len(o.by))}
	for name, b := range s.by {
		sum.by[name] = b
	}
	for name, b := range o.by {
		if before, ok := sum.by[name]; ok {
			b = new(big.Rat).Add(before, b)
		}
		sum.by[name] = b
	}
	return sum
}

var minusOne = big.NewRat(-1, 1)

// spreads computes formulas over what may be off: constants within their stated
// tolerance and measurements known as an interval. Sums, and products with what is
// exactly known, are followed exactly; of any other operation the ends are taken,
// as interval arithmetic does, which is never too narrow.
type spreads struct {
	job   *Job
	of    map[string]spread
	drawn int // ends that stand for themselves
}

// between is a quantity of which only the ends are known.
func (s *spreads) between(o formula.Interval) spread {
	half := big.NewRat(1, 2)
	width := new(big.Rat).Sub(o.High, o.Low)
	if width.Sign() == 0 {
		return spread{middle: o.Low}
	}
	s.drawn++
	middle := new(big.Rat).Add(o.Low, o.High)
	return spread{middle.Mul(middle, half), map[string]*big.Rat{fmt.Sprint("#", s.drawn): width.Mul(width, half)}}
}

func (s *spreads) node(n *formula.Node) (spread, error) {
	switch n.Op {
	case formula.OpNumber:
		return spread{middle: n.Number}, nil
	case formula.OpName:
		return s.name(n.Name)
	case formula.OpCall:
		return s.call(n)
	}
	args, err := s.each(n.Args)
	if err != nil {
		return spread{}, err
	}
	a, b := args[0], args[1]
	switch n.Op {
	case formula.OpAdd:
		return a.plus(b), nil
	case formula.OpSubtract:
		return a.plus(b.times(minusOne)), nil
	case formula.OpMultiply:
		switch {
		case len(b.by) == 0:
			return a.times(b.middle), nil
		case len(a.by) == 0:
			return b.times(a.middle), nil
		}
		return s.corners(n, a, b)
	}
	if len(b.by) == 0 && b.middle.Sign() != 0 {
		return a.times(new(big.Rat).Inv(b.middle)), nil
	}
	return s.corners(n, a, b)
}

// corners is an operation of which only the ends are known.
func (s *spreads) corners(n *formula.Node, a, b spread) (spread, error) {
	ends, err := n.Corners(a.open(), b.open())
	if err != nil {
		return spread{}, err
	}
	return s.between(ends), nil
}

func (s *spreads) each(nodes []*formula.Node) ([]spread, error) {
	all := make([]spread, len(nodes))
	for i, n := range nodes {
		var err error
		if all[i], err = s.node(n); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// name is an intermediate result, computed once, a constant or a measurement.
func (s *spreads) name(name string) (spread, error) {
	if known, ok := s.of[name]; ok {
		return known, nil
	}
	result, err := s.fresh(name)
	if err == nil {
		s.of[name] = result
	}
	return result, err
}

func (s *spreads) fresh(name string) (spread, error) {
	if x := s.job.FormulaOf(name); x != nil {
		return s.node(x.Root)
	}
	if c, ok := s.job.P.Constant(name); ok && c.Doubt.Tolerance != nil {
		return spread{c.Exact, map[string]*big.Rat{name: c.Doubt.Tolerance}}, nil
	}
	if o, ok := s.job.Open[formula.Taken{Step: name}]; ok {
		return s.between(o), nil
	}
	if in := s.job.Parts(name); len(in) > 0 {
		return spreadOf(in), nil
	}
	r, ok := s.job.V.Of[name]
	if !ok {
		return spread{}, fmt.Errorf("%q has no value", name)
	}
	return spread{middle: r}, nil
}

// spreadOf is the sum of parts, each piece of which may be off by itself.
func spreadOf(parts []Part) spread {
	sum := spread{middle: new(big.Rat)}
	for _, in := range parts {
		off := spread{middle: in.Thickness, by: map[string]*big.Rat{}}
		in.EachStated(func(called string, half *big.Rat) { off.by[called] = half })
		sum = sum.plus(off)
	}
	return sum
}

// call is a function; of most only the ends are known.
func (s *spreads) call(n *formula.Node) (spread, error) {
	if n.Over {
		if o, ok := s.job.Open[formula.Taken{Step: n.Args[0].Name, Take: n.Name}]; ok {
			return s.between(o), nil
		}
		r, err := n.Compute(&s.job.V)
		return spread{middle: r}, err
	}
	args := make([]spread, len(n.Args))
	lows, highs := make([]*big.Rat, len(args)), make([]*big.Rat, len(args))
	for i, arg := range n.Args {
		if n.Table != nil && n.Table.Keys[i].Marks {
			continue
		}
		var err error
		if args[i], err = s.node(arg); err != nil {
			return spread{}, err
		}
		o := args[i].open()
		lows[i], highs[i] = o.Low, o.High
	}
	switch {
	case n.Table != nil:
	case n.Name == "mean":
		total := spread{middle: new(big.Rat)}
		for _, a := range args {
			total = total.plus(a)
		}
		return total.times(big.NewRat(1, int64(len(args)))), nil
	case n.Name == "abs" && lows[0].Sign() >= 0:
		return args[0], nil
	case n.Name == "abs" && highs[0].Sign() <= 0:
		return args[0].times(minusOne), nil
	}
	ends, err := n.Span(lows, highs, &s.job.V)
	if err != nil {
		return spread{}, err
	}
	return s.between(ends), nil
}
