package doubt

import (
	"math"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/uncertainty"
)

// model is a formula in floats, as a function of deviations of the inputs of its
// budget: what a Monte Carlo run draws through. Intermediate results are computed
// once each, in order.
type model struct {
	s       *slopes
	slots   map[string]int
	steps   []part // intermediate results
	root    part
	leaves  []float64 // as measured
	effects []effect
}

// part is a node of the model. leaf and slot are the values of the leaves and of
// the intermediate results that were computed before it.
type part func(leaf, slot []float64) float64

// boundless is what a result that is no number, or too large for one, counts as.
const boundless = 1e30

// modelOf makes the model of a formula whose inputs were collected. It gives
// deviations of the result from what it is, per scale.
func (c *collector) modelOf(x *formula.Expression, scale float64) uncertainty.Model {
	m := &model{s: newSlopes(c.d), slots: map[string]int{}, effects: c.effects}
	m.s.leaves, m.s.values = c.leaves, c.values
	m.root = m.node(x.Root)
	m.leaves = m.s.values
	leaf, slot := make([]float64, len(m.leaves)), make([]float64, len(m.steps))
	result := func(deviations []float64) float64 {
		copy(leaf, m.leaves)
		for _, e := range m.effects {
			leaf[e.leaf] += float64(e.by * deviations[e.input])
		}
		for i, step := range m.steps {
			slot[i] = step(leaf, slot)
		}
		return m.root(leaf, slot) / scale
	}
	middle := result(make([]float64, len(c.inputs)))
	return func(deviations []float64) float64 {
		y := result(deviations) - middle
		if !(math.Abs(y) < boundless) {
			return boundless
		}
		return y
	}
}

// read is a leaf, which the budget's formula met before.
func (m *model) read(l leaf) part {
	i := slices.Index(m.s.leaves, l)
	if i < 0 {
		return func(_, _ []float64) float64 { return 0 }
	}
	return func(leaf, _ []float64) float64 { return leaf[i] }
}

func (m *model) node(n *formula.Node) part {
	switch n.Op {
	case formula.OpNumber:
		value := float(n.Number)
		return func(_, _ []float64) float64 { return value }
	case formula.OpName:
		return m.name(n.Name)
	case formula.OpCall:
		return m.call(n)
	}
	a, b := m.node(n.Args[0]), m.node(n.Args[1])
	switch n.Op {
	case formula.OpAdd:
		return func(leaf, slot []float64) float64 { return a(leaf, slot) + b(leaf, slot) }
	case formula.OpSubtract:
		return func(leaf, slot []float64) float64 { return a(leaf, slot) - b(leaf, slot) }
	case formula.OpMultiply:
		return func(leaf, slot []float64) float64 { return float64(a(leaf, slot) * b(leaf, slot)) }
	}
	return func(leaf, slot []float64) float64 { return a(leaf, slot) / b(leaf, slot) }
}

func (m *model) name(name string) part {
	x := m.s.d.FormulaOf(name)
	if x == nil {
		l := leaf{name: name}
		if step, _, ok := m.s.d.P.Step(name); ok {
			l.take = step.Take
		}
		return m.read(l)
	}
	i, known := m.slots[name]
	if !known {
		step := m.node(x.Root)
		i = len(m.steps)
		m.slots[name], m.steps = i, append(m.steps, step)
	}
	return func(_, slot []float64) float64 { return slot[i] }
}

func (m *model) call(n *formula.Node) part {
	if n.Table != nil || formula.IsRounding(n.Name) {
		return m.lookUp(n)
	}
	if n.Over {
		return m.read(leaf{name: n.Args[0].Name, take: procedure.Take(n.Name)})
	}
	args := make([]part, len(n.Args))
	for i, arg := range n.Args {
		args[i] = m.node(arg)
	}
	if formula.IsOfOneValue(n.Name) {
		return func(leaf, slot []float64) float64 { return (slope{value: args[0](leaf, slot)}).through(n.Name).value }
	}
	values := make([]float64, len(args))
	return func(leaf, slot []float64) float64 {
		for i, arg := range args {
			values[i] = arg(leaf, slot)
		}
		return statisticOf(n.Name, values)
	}
}

// statisticOf is statistic in floats; it sorts them.
func statisticOf(name string, values []float64) float64 {
	if name == string(procedure.TakeMean) {
		sum := 0.0
		for _, v := range values {
			sum += v
		}
		return sum / float64(len(values))
	}
	slices.Sort(values)
	first, last, half := values[0], values[len(values)-1], len(values)/2
	switch name {
	case "abs":
		return math.Abs(first)
	case string(procedure.TakeSmallest):
		return first
	case string(procedure.TakeLargest):
		return last
	case string(procedure.TakeRange):
		return last - first
	}
	if len(values)%2 == 1 {
		return values[half]
	}
	return (values[half-1] + values[half]) / 2
}

// lookUp is a table or a rounding as its slope takes it: the step that is near is
// an input of its own, and between the rows of an interpolated table the line
// goes on.
func (m *model) lookUp(n *formula.Node) part {
	at := m.s.lookUp(n)
	return func(leaf, _ []float64) float64 {
		y := at.value
		for i, by := range at.by {
			y += float64(by * (leaf[i] - m.leaves[i]))
		}
		return y
	}
}
