package jobs

import "math"

// state is what is known of a group at an epoch: for each gauge its error and
// its rate. root times its transpose is the covariance.
type state struct {
	before     []float64 // by the epochs before
	rootBefore square    // lower triangle
	after      []float64 // with the data of the epoch
	root       square
	check      float64 // the largest deviation of a master check from what was expected, in standard deviations
	likelihood float64 // log of that of the epoch's data, by the data before; what is far off counts less
	squares    float64 // of their deviations in standard deviations, likewise
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

// move carries an estimate and its root over so many days. noise is what is
// added in them; restart is a gauge that restarts at their end, or -1.
func move(x []float64, root square, passed float64, noise []growth, restart int) ([]float64, square) {
	n := root.n
	to := append([]float64(nil), x...)
	rows := make([][]float64, 2*n) // of the transposed root, and of the root of what is added
	backing := make([]float64, 2*n*n)
	for i := range rows {
		rows[i] = backing[i*n : (i+1)*n]
	}
	for k := range noise {
		b, r := 2*k, 2*k+1
		if restart == k {
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
			error: g.wander*g.wander*(m.Wander*m.Wander*passed+m.WearPerUse*m.WearPerUse*g.epochs[e].uses[k]) + walk*passed*passed*passed/3,
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

// noiseUntil is what the epochs from onset to end add together, and the days
// that they take. No gauge restarts after onset.
func (g *group) noiseUntil(onset, end int) ([]growth, float64) {
	_, passed := g.previous(onset)
	all := g.noise(onset, passed)
	for e := onset + 1; e <= end; e++ {
		days := g.epochs[e].at - g.epochs[e-1].at
		for k, more := range g.noise(e, days) {
			q := &all[k]
			q.error += days*(2*q.both+days*q.rate) + more.error
			q.both += days*q.rate + more.both
			q.rate += more.rate
		}
		passed += days
	}
	return all, passed
}

// advance computes the state of epoch e from the one before.
func (g *group) advance(e int) {
	from, passed := g.previous(e)
	s := state{}
	s.before, s.rootBefore = move(from.after, from.root, passed, g.noise(e, passed), g.epochs[e].restart)
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
	z := math.Abs(innovation) / math.Sqrt(variance)
	square := huber(z, clip)
	s.squares += square
	s.likelihood -= (math.Log(variance) + square) / 2
	switch {
	case o.anchor:
		s.check = max(s.check, z)
	case z > clip:
		variance *= z / clip // so that it moves the estimate as one at the clip does
	}
	gain := s.root.times(f)
	addTo(s.after, innovation/variance, gain)
	shrink := 1 / (variance * (1 + math.Sqrt((variance-known)/variance)))
	for i, v := range gain {
		addTo(s.root.row(i), -shrink*v, f)
	}
}
