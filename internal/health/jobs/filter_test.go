package jobs

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// TestAgainstLeastSquares: filter and smoother give what weighted least squares
// over all states at all times gives, the walks being one more kind of data.
func TestAgainstLeastSquares(t *testing.T) {
	s := aBench(12)
	s.checkEvery, s.sigma = 5, 1*um
	s.model.Clip, s.model.Quiet = 1000, 1e30 // linear, no alarms
	s.model.RateWander, s.model.Rate = 0.05*um, 0.3*um
	for _, wander := range []float64{0.3 * um, 1e-4 * um} {
		s.model.Wander = wander
		residuals, anchors, _ := s.run(3)
		anchors[4].Restart = true
		site := estimate(t, s.model, residuals, anchors, s.end())

		byGauge := map[string][]Anchor{}
		for _, a := range anchors {
			byGauge[a.Gauge] = append(byGauge[a.Gauge], a)
		}
		all := clusters(links(residuals), maxGroup)
		if len(all) != 1 {
			t.Fatalf("%d clusters, not one", len(all))
		}
		g := newGroup(s.model, all[0], residuals, byGauge, began, s.end())
		x, cov := leastSquares(t, g)
		n := 2 * len(g.gauges)
		for k, name := range g.gauges {
			track := site.track(t, name)
			if len(track.Points) != len(g.epochs) {
				t.Fatalf("gauge %s has %d points, not %d", name, len(track.Points), len(g.epochs))
			}
			for e, p := range track.Points {
				i := e*n + 2*k
				if want := x.AtVec(i) * um; math.Abs(p.Error-want) > 1e-6*um {
					t.Errorf("wander %g: gauge %s at epoch %d has error %g, least squares gives %g", wander, name, e, p.Error, want)
				}
				if want := math.Sqrt(cov.At(i, i)) * um; math.Abs(p.Sigma-want) > 1e-6*want {
					t.Errorf("wander %g: gauge %s at epoch %d has sigma %g, least squares gives %g", wander, name, e, p.Sigma, want)
				}
			}
		}
	}
}

// leastSquares solves for the states of all epochs of a group at once.
func leastSquares(t *testing.T, g *group) (*mat.VecDense, *mat.SymDense) {
	t.Helper()
	n := 2 * len(g.gauges)
	size := n * len(g.epochs)
	normal, right := mat.NewSymDense(size, nil), mat.NewVecDense(size, nil)
	add := func(row map[int]float64, value, variance float64) {
		for i, a := range row {
			right.SetVec(i, right.AtVec(i)+a*value/variance)
			for j, b := range row {
				if j >= i {
					normal.SetSym(i, j, normal.At(i, j)+a*b/variance)
				}
			}
		}
	}
	for e, epoch := range g.epochs {
		_, passed := g.previous(e)
		noise := g.noise(e, passed)
		for k := range g.gauges {
			b, r := e*n+2*k, e*n+2*k+1
			q := noise[k]
			switch {
			case e == 0:
				add(map[int]float64{b: 1}, 0, g.model.Start*g.model.Start+q.error)
				add(map[int]float64{r: 1}, 0, g.model.Rate*g.model.Rate)
			case epoch.restart == k:
				add(map[int]float64{b: 1}, 0, q.error)
				add(map[int]float64{r: 1}, 0, q.rate)
			default: // the change of the error given that of the rate, then the change of the rate
				slope := q.both / q.rate
				add(map[int]float64{b: 1, b - n: -1, r - n: -passed + slope, r: -slope}, 0, q.error-slope*q.both)
				add(map[int]float64{r: 1, r - n: -1}, 0, q.rate)
			}
		}
		for _, o := range epoch.observations {
			row := map[int]float64{}
			for i, k := range o.gauge {
				row[e*n+2*k], row[e*n+2*k+1] = o.coefficient[i], o.coefficient[i]*(o.at-epoch.at)
			}
			add(row, o.value, o.sigma*o.sigma)
		}
	}
	var factor mat.Cholesky
	if !factor.Factorize(normal) {
		t.Fatal("the normal equations are singular")
	}
	x, cov := mat.NewVecDense(size, nil), mat.NewSymDense(size, nil)
	if err := factor.SolveVecTo(x, right); err != nil {
		t.Fatal(err)
	}
	if err := factor.InverseTo(cov); err != nil {
		t.Fatal(err)
	}
	return x, cov
}

// TestManyEpochsAtOnce: what is expected over many epochs without their data is
// the same in one move as in one for each.
func TestManyEpochsAtOnce(t *testing.T) {
	s := aBench(20)
	s.model.RateWander = 0.1 * um
	residuals, _, _ := s.run(2)
	g := newGroup(s.model, clusters(links(residuals), maxGroup)[0], residuals, nil, began, s.end())
	for e := range g.epochs {
		g.advance(e)
	}
	g.faults = []fault{{epoch: 12, gauges: []int{1}}}
	from, _ := g.previous(8)
	x, root := from.after, from.root
	for e := 8; e <= 17; e++ {
		_, passed := g.previous(e)
		x, root = move(x, root, passed, g.noise(e, passed), -1)
	}
	noise, passed := g.noiseUntil(8, 17)
	y, other := move(from.after, from.root, passed, noise, -1)
	p, q := root.timesTransposed(root), other.timesTransposed(other)
	for i := range p.v {
		if math.Abs(p.v[i]-q.v[i]) > 1e-9*math.Abs(p.v[i])+1e-12 {
			t.Fatalf("covariance %d is %g in single moves, %g in one", i, p.v[i], q.v[i])
		}
	}
	for i := range x {
		if math.Abs(x[i]-y[i]) > 1e-9 {
			t.Errorf("state %d is %g in single moves, %g in one", i, x[i], y[i])
		}
	}
}
