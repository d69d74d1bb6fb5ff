package fleet

import "math"

// state is what is known of a group at an epoch: for each gauge its error and
// its rate. root times its transpose is the covariance.
type state struct {
	before     []float64 // by the epochs before
	rootBefore square    // lower triangle
	after      []float64 // with the data of the epoch
	root       square
}

// fault takes the place of healthy behaviour of some gauges as of an epoch.
type fault struct {
	epoch  int
	gauges []int
}

// first is what is known before any data.
func (g *group) first() state {
	n := 2 * len(g.gauges)
	s := state{after: make([]float64, n), root: newSquare(n)}
	for i := range g.gauges {
		s.root.v[2*i*n+2*i] = g.model.Start
		s.root.v[(2*i+1)*n+2*i+1] = g.model.Rate
	}
	return s
}

// previous returns the state before epoch e, and the days since.
func (g *group) previous(e int) (state, float64) {
	if e == 0 {
		return g.first(), 0
	}
	return g.states[e-1], g.epochs[e].at - g.epochs[e-1].at
}

// move carries an estimate and its root from one epoch over to epoch e.
func (g *group) move(x []float64, root square, e int, passed float64) ([]float64, square) {
	n := root.n
	to := append([]float64(nil), x...)
	rows := make([][]float64, 2*n) // of the transposed root, and of the root of what is added
	backing := make([]float64, 2*n*n)
	for i := range rows {
		rows[i] = backing[i*n : (i+1)*n]
	}
	noise := g.noise(e, passed)
	for k := range g.gauges {
		b, r := 2*k, 2*k+1
		if g.epochs[e].restart == k {
			to[b], to[r] = 0, 0
		} else {
			to[b] += passed * x[r]
			for c := range n {
				rate := root.v[r*n+c]
				rows[c][b], rows[c][r] = root.v[b*n+c]+passed*rate, rate
			}
		}
		a, both, rate := noise[k].root()
		rows[n+b][b], rows[n+b][r], rows[n+r][r] = a, both, rate
	}
	return to, triangular(rows)
}

// growth is the covariance that is added to error and rate of one gauge.
type growth struct{ error, both, rate float64 }

func (q growth) root() (a, both, rate float64) {
	a = math.Sqrt(q.error)
	if a > 0 {
		both = q.both / a
	}
	return a, both, math.Sqrt(max(0, q.rate-both*both))
}

// noise is what epoch e adds, so many days after the one before.
func (g *group) noise(e int, passed float64) []growth {
	m, all := g.model, make([]growth, len(g.gauges))
	walk := m.RateWander * m.RateWander
	for k := range all {
		if g.epochs[e].restart == k {
			all[k] = growth{error: m.Start * m.Start, rate: m.Rate * m.Rate}
			continue
		}
		all[k] = growth{
			error: m.Wander*m.Wander*passed + m.WearPerUse*m.WearPerUse*g.epochs[e].uses[k] + walk*passed*passed*passed/3,
			both:  walk * passed * passed / 2,
			rate:  walk * passed,
		}
	}
	for _, f := range g.faults {
		if f.epoch != e {
			continue
		}
		for _, k := range f.gauges {
			all[k].error += m.FaultStep * m.FaultStep
			all[k].rate += m.FaultRate * m.FaultRate
		}
	}
	return all
}

// advance computes the state of epoch e from the one before.
func (g *group) advance(e int) {
	from, passed := g.previous(e)
	s := state{}
	s.before, s.rootBefore = g.move(from.after, from.root, e, passed)
	s.after = append([]float64(nil), s.before...)
	s.root = s.rootBefore.clone()
	for _, o := range g.epochs[e].observations {
		s.take(o, o.at-g.epochs[e].at, g.model.Clip)
	}
	g.states[e] = s
}

// take updates a state by one observation, by Potter's method. earlier is when
// it was made, relative to the state, in days: it is not positive.
func (s *state) take(o observation, earlier, clip float64) {
	n := s.root.n
	f := make([]float64, n) // the transposed root times the row of the observation
	predicted := 0.0
	for i, k := range o.gauge {
		c := o.coefficient[i]
		predicted += c * (s.after[2*k] + earlier*s.after[2*k+1])
		addTo(f, c, s.root.row(2*k))
		addTo(f, c*earlier, s.root.row(2*k+1))
	}
	known := dot(f, f)
	variance := known + o.sigma*o.sigma
	innovation := o.value - predicted
	if z := math.Abs(innovation) / math.Sqrt(variance); !o.anchor && z > clip {
		variance *= z / clip // so that it moves the estimate as one at the clip does
	}
	gain := s.root.times(f)
	addTo(s.after, innovation/variance, gain)
	shrink := 1 / (variance * (1 + math.Sqrt((variance-known)/variance)))
	for i, v := range gain {
		addTo(s.root.row(i), -shrink*v, f)
	}
}
