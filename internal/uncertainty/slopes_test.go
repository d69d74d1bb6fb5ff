package uncertainty

// Sensitivities are the changes of the model's result per change of each input:
// half the difference of the results one standard uncertainty above and below
// the estimate, per standard uncertainty (JCGM 100, 5.1.3 note 2). An input
// without uncertainty contributes nothing, and gets 0.
func Sensitivities(m Model, inputs []Input) []float64 {
	at := newPoint(m, inputs)
	c := make([]float64, len(inputs))
	for i, in := range inputs {
		if in.Standard > 0 {
			c[i] = at.slope(i) / in.Standard
		}
	}
	return c
}

// SecondOrder is the variance that a model which is not linear adds to that of
// its budget, in the square of the unit of the result: the terms of JCGM 100,
// 5.1.2 note, by differences over one standard uncertainty. It is exact for
// normal inputs of infinite freedom; where it matters, MonteCarlo is better.
func SecondOrder(m Model, inputs []Input) float64 {
	at := newPoint(m, inputs)
	sum := 0.0
	for i, a := range inputs {
		for j, b := range inputs {
			if a.Standard > 0 && b.Standard > 0 {
				bend := at.bend(i, j)
				sum += float64(bend*bend)/2 + float64(at.slope(i)*at.twist(i, j))
			}
		}
	}
	return sum
}

// point takes differences of a model around the estimates of its inputs. All
// are per one standard uncertainty of the inputs concerned.
type point struct {
	m      Model
	inputs []Input
	x      []float64
}

func newPoint(m Model, inputs []Input) *point {
	p := &point{m: m, inputs: inputs, x: make([]float64, len(inputs))}
	for i, in := range inputs {
		p.x[i] = in.Estimate
	}
	return p
}

// step is a move of one input by a number of standard uncertainties.
type step struct {
	input int
	by    float64
}

func (p *point) after(steps ...step) float64 {
	for _, s := range steps {
		p.x[s.input] += float64(s.by * p.inputs[s.input].Standard)
	}
	y := p.m(p.x)
	for _, s := range steps {
		p.x[s.input] = p.inputs[s.input].Estimate
	}
	return y
}

// slope is the first difference.
func (p *point) slope(i int) float64 {
	return (p.after(step{i, 1}) - p.after(step{i, -1})) / 2
}

// bend is the second difference by i and j.
func (p *point) bend(i, j int) float64 {
	if i == j {
		return p.curve(i)
	}
	same := p.after(step{i, 1}, step{j, 1}) + p.after(step{i, -1}, step{j, -1})
	opposite := p.after(step{i, 1}, step{j, -1}) + p.after(step{i, -1}, step{j, 1})
	return (same - opposite) / 4
}

// twist is the third difference, by i and twice by j.
func (p *point) twist(i, j int) float64 {
	return (p.curve(j, step{i, 1}) - p.curve(j, step{i, -1})) / 2
}

// curve is the second difference twice by j, after a move.
func (p *point) curve(j int, moved ...step) float64 {
	up, down := append(moved, step{j, 1}), append(moved[:len(moved):len(moved)], step{j, -1})
	return p.after(up...) - 2*p.after(moved...) + p.after(down...)
}
