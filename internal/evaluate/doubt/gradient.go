package doubt

import (
	"math"
	"math/big"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// slope is a value with its partial derivatives by the leaves of a formula,
// which are measurements and constants. It is used for uncertainties only and
// never decides what a value is.
type slope struct {
	value float64
	by    []float64 // by the leaf of that index; shorter where the rest is zero
	bends bool      // it is no straight line in the leaves
}

// slopes computes derivatives through the intermediate results.
type slopes struct {
	d      *Doubts
	leaves []leaf
	values []float64 // of the leaves
	of     map[string]slope
}

// leaf is a measurement, a constant, or a statistic of a measurement's readings.
type leaf struct {
	name string
	take procedure.Take // of a measurement; empty for a constant

	stepping *formula.Node // a table or a rounding that may give another value
	jump     float64       // how far that is, either way
}

func newSlopes(d *Doubts) *slopes { return &slopes{d: d, of: map[string]slope{}} }

// formula returns an expression's value with its derivatives.
func (s *slopes) formula(x *formula.Expression) slope { return s.node(x.Root) }

func (s *slopes) node(n *formula.Node) slope {
	switch n.Op {
	case formula.OpNumber:
		return slope{value: float(n.Number)}
	case formula.OpName:
		return s.name(n.Name)
	case formula.OpCall:
		return s.call(n)
	}
	a, b := s.node(n.Args[0]), s.node(n.Args[1])
	bends := a.bends || b.bends
	switch n.Op {
	case formula.OpAdd:
		return slope{a.value + b.value, combined(a.by, 1, b.by, 1), bends}
	case formula.OpSubtract:
		return slope{a.value - b.value, combined(a.by, 1, b.by, -1), bends}
	case formula.OpMultiply:
		return slope{a.value * b.value, combined(a.by, b.value, b.by, a.value), bends || len(a.by) > 0 && len(b.by) > 0}
	}
	return slope{a.value / b.value, combined(a.by, 1/b.value, b.by, -a.value/b.value/b.value), bends || len(b.by) > 0}
}

// combined returns fa*a + fb*b.
func combined(a []float64, fa float64, b []float64, fb float64) []float64 {
	sum := make([]float64, max(len(a), len(b)))
	for i, d := range a {
		sum[i] = fa * d
	}
	for i, d := range b {
		sum[i] += fb * d
	}
	return sum
}

// name is an intermediate result, computed once, or a leaf.
func (s *slopes) name(name string) slope {
	if known, ok := s.of[name]; ok {
		return known
	}
	result := slope{}
	if x := s.d.FormulaOf(name); x != nil {
		result = s.formula(x)
	} else {
		l := leaf{name: name}
		if step, _, ok := s.d.P.Step(name); ok {
			l.take = step.Take
		}
		result = s.leaf(l, s.d.V.Of[name])
	}
	s.of[name] = result
	return result
}

func (s *slopes) leaf(l leaf, value *big.Rat) slope {
	i := slices.Index(s.leaves, l)
	if i < 0 {
		i = len(s.leaves)
		s.leaves, s.values = append(s.leaves, l), append(s.values, 0)
		if value != nil {
			s.values[i] = float(value)
		}
	}
	by := make([]float64, i+1)
	by[i] = 1
	if value == nil {
		return slope{by: by} // not measured yet; of use to formulas that are sums
	}
	return slope{value: float(value), by: by}
}

// call is a function. An extreme has the derivatives of the value that it is.
func (s *slopes) call(n *formula.Node) slope {
	if n.Table != nil || formula.IsRounding(n.Name) {
		return s.lookUp(n)
	}
	if n.Over {
		step := n.Args[0].Name
		l := leaf{name: step, take: procedure.Take(n.Name)}
		if list := s.d.V.Readings[step].Exact(); len(list) > 0 {
			return s.leaf(l, formula.Statistic(n.Name, list))
		}
		return s.leaf(l, nil)
	}
	args := make([]slope, len(n.Args))
	for i, arg := range n.Args {
		args[i] = s.node(arg)
	}
	if formula.IsOfOneValue(n.Name) {
		return args[0].through(n.Name)
	}
	if n.Name == "mean" {
		total := slope{}
		for _, a := range args {
			total = slope{total.value + a.value/float64(len(args)), combined(total.by, 1, a.by, 1/float64(len(args))), total.bends || a.bends}
		}
		return total
	}
	slices.SortStableFunc(args, func(a, b slope) int { return compare(a.value, b.value) })
	one := s.extreme(n.Name, args)
	one.bends = true
	return one
}

// through is a root, or a function of an angle in degrees. Where the slope of a
// root is endless it is left out; the bend counts.
func (a slope) through(name string) slope {
	const radians = math.Pi / 180
	value, by := 0.0, 0.0
	switch name {
	case formula.FunctionRoot:
		if value = math.Sqrt(max(a.value, 0)); value > 0 {
			by = 0.5 / value
		}
	case formula.FunctionSine:
		value, by = math.Sin(a.value*radians), math.Cos(a.value*radians)*radians
	case formula.FunctionCosine:
		value, by = math.Cos(a.value*radians), -math.Sin(a.value*radians)*radians
	default:
		value = math.Tan(a.value * radians)
		by = (1 + value*value) * radians
	}
	return slope{value, combined(a.by, by, nil, 0), a.bends || len(a.by) > 0}
}

// extreme is a function that is one of its sorted arguments, or made of two.
func (s *slopes) extreme(name string, args []slope) slope {
	first, last, half := args[0], args[len(args)-1], len(args)/2
	switch name {
	case "abs":
		if first.value < 0 {
			return slope{value: -first.value, by: combined(first.by, -1, nil, 0)}
		}
		return first
	case "smallest":
		return first
	case "largest":
		return last
	case "range":
		return slope{value: last.value - first.value, by: combined(last.by, 1, first.by, -1)}
	}
	if len(args)%2 == 1 {
		return args[half]
	}
	return slope{value: (args[half-1].value + args[half].value) / 2, by: combined(args[half-1].by, 0.5, args[half].by, 0.5)}
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func float(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
