package jobs

import (
	"math"
	"time"
)

// smooth returns the tracks of the gauges by all data: the smoother of Rauch,
// Tung and Striebel. The covariance is a sum of squares, so that it cannot
// become negative.
func (g *group) smooth(origin time.Time) []Track {
	last := len(g.epochs) - 1
	n := 2 * len(g.gauges)
	tracks := make([]Track, len(g.gauges))
	x := g.states[last].after
	p := g.states[last].root.timesTransposed(g.states[last].root)
	for k, name := range g.gauges {
		r := 2*k + 1
		tracks[k] = Track{Gauge: name, Points: make([]Point, last+1), Rate: x[r] / micro, RateSigma: math.Sqrt(p.v[r*n+r]) / micro, Wander: g.wander}
	}
	for e := last; ; e-- {
		when := at(origin, g.epochs[e].at)
		for k := range g.gauges {
			b := 2 * k
			tracks[k].Points[e] = Point{Time: when, Error: x[b] / micro, Sigma: math.Sqrt(p.v[b*n+b]) / micro}
		}
		if e == 0 {
			return tracks
		}
		x, p = g.back(e, x, p)
	}
}

// back takes the smoothed estimate at epoch e to the epoch before.
func (g *group) back(e int, x []float64, p square) ([]float64, square) {
	from, passed := g.previous(e)
	next := g.states[e]
	n := p.n
	moved := g.transition(from.root, e, passed) // F root
	gain := from.root.timesTransposed(moved)    // root root' F'
	for i := range n {
		next.rootBefore.solve(gain.row(i))
	}
	change := make([]float64, n)
	for i := range change {
		change[i] = x[i] - next.before[i]
	}
	to := append([]float64(nil), from.after...)
	addTo(to, 1, gain.times(change))

	rest := from.root.clone() // (I - gain F) root
	addTo(rest.v, -1, gain.product(moved).v)
	for k, q := range g.noise(e, passed) {
		b, r := 2*k, 2*k+1
		p.v[b*n+b] += q.error
		p.v[b*n+r] += q.both
		p.v[r*n+b] += q.both
		p.v[r*n+r] += q.rate
	}
	cov := rest.timesTransposed(rest)
	addTo(cov.v, 1, gain.product(p).timesTransposed(gain).v)
	return to, cov
}

// transition returns the root as moved to epoch e, without noise.
func (g *group) transition(root square, e int, passed float64) square {
	moved := root.clone()
	for k := range g.gauges {
		if g.epochs[e].restart == k {
			clear(moved.row(2 * k))
			clear(moved.row(2*k + 1))
			continue
		}
		addTo(moved.row(2*k), passed, root.row(2*k+1))
	}
	return moved
}
