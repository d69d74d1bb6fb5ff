package drift

import (
	"math"
	"slices"
	"time"

	"gauged/internal/uncertainty"
)

// point is one error of a history.
type point struct {
	x, y, weight float64
	check        int // from 1
	time         time.Time
}

// search holds every place at which a step may be.
type search struct {
	checks []Check
	stated bool   // every check has its uncertainty
	all    within // without any step
	places []place

	rounding float64 // variance that rounding to the display leaves at least; 0: not known
}

// place is one place for a step, between two errors of a piece, with the sums
// when the piece is split there.
type place struct {
	after, before point
	left, right   uncertainty.Sums
	split         within
	squares       float64 // set by best
}

func newSearch(checks []Check) *search {
	s := &search{checks: checks, stated: allStated(checks)}
	runs := runsOf(checks)
	sums := make([]uncertainty.Sums, len(runs))
	for i, run := range runs {
		for _, p := range run {
			sums[i].Add(p.x, p.y, p.weight)
		}
		s.all = s.all.with(sums[i])
	}
	for i, run := range runs {
		others := s.all
		others.n, others.pieces, others.weight = others.n-sums[i].N, others.pieces-1, others.weight-sums[i].Weight
		others.xx, others.xy, others.yy = max(0, others.xx-sums[i].XX), others.xy-sums[i].XY, max(0, others.yy-sums[i].YY)
		s.places = append(s.places, placesIn(run, others)...)
	}
	return s
}

// allStated says that every check has its uncertainty.
func allStated(checks []Check) bool {
	return !slices.ContainsFunc(checks, func(c Check) bool { return c.Uncertainty <= 0 })
}

// runsOf returns the points of each piece.
func runsOf(checks []Check) [][]point {
	stated := allStated(checks)
	runs := make([][]point, 1)
	for i, c := range checks {
		p := point{x: Days(checks[0].Time, c.Time), y: c.Found, weight: 1, check: i + 1, time: c.Time}
		if stated {
			p.weight = 1 / (c.Uncertainty * c.Uncertainty)
		}
		runs[len(runs)-1] = append(runs[len(runs)-1], p)
		if c.Changed() {
			runs = append(runs, nil)
		}
		if c.Left != nil {
			p.y = *c.Left
			runs[len(runs)-1] = append(runs[len(runs)-1], p)
		}
	}
	return runs
}

// placesIn returns the places of one piece. The sums to the left are added
// forwards, those to the right backwards, so that the work grows with the
// number of points only.
func placesIn(run []point, others within) []place {
	right := make([]uncertainty.Sums, len(run)+1)
	for i := len(run) - 1; i >= 0; i-- {
		right[i] = right[i+1]
		right[i].Add(run[i].x, run[i].y, run[i].weight)
	}
	var places []place
	var left uncertainty.Sums
	for i := 1; i < len(run); i++ {
		left.Add(run[i-1].x, run[i-1].y, run[i-1].weight)
		if i < sideOfStep || len(run)-i < sideOfStep {
			continue
		}
		p := place{after: run[i-1], before: run[i], left: left, right: right[i]}
		p.split = others.with(p.left).with(p.right)
		places = append(places, p)
	}
	return places
}

// best returns the place that leaves the least squares, as they are counted.
func (s *search) best(count func(within) float64) place {
	best := place{squares: math.Inf(1)}
	for _, p := range s.places {
		if p.squares = count(p.split); p.squares < best.squares {
			best = p
		}
	}
	return best
}

// step describes the step at p, beside a slope or without one.
func (s *search) step(p place, slope bool, f, limit float64) *Step {
	dof := p.split.n - p.split.pieces
	if slope {
		dof--
	}
	factor := s.factor(p.squares, float64(dof))
	r := &Step{
		After: p.after.check, Before: p.before.check, AfterTime: p.after.time, BeforeTime: p.before.time,
		DoF: dof, F: f, Limit: limit, Places: len(s.places),
		Size: p.right.Y - p.left.Y,
	}
	variance := factor * (1/p.left.Weight + 1/p.right.Weight)
	if apart := p.right.X - p.left.X; slope {
		r.Rate, r.RateError = p.split.xy/p.split.xx, math.Sqrt(factor/p.split.xx)
		r.Size -= r.Rate * apart
		variance += square(apart * r.RateError)
	}
	r.SizeError = math.Sqrt(variance)
	s.nearby(r, p, slope)
	return r
}

// nearby finds the places that explain the errors nearly as well as the best.
func (s *search) nearby(r *Step, best place, slope bool) {
	near := best.squares + s.factor(best.squares, float64(r.DoF))*square(uncertainty.StudentQuantile(0.975, float64(r.DoF)))
	r.EarliestAfter, r.LatestBefore = r.After, r.Before
	r.EarliestTime, r.LastTime = r.AfterTime, r.BeforeTime
	for _, p := range s.places {
		squares := p.split.yy
		if slope {
			squares = p.split.rest()
		}
		if squares > near {
			continue
		}
		if p.after.check < r.EarliestAfter {
			r.EarliestAfter, r.EarliestTime = p.after.check, p.after.time
		}
		if p.before.check > r.LatestBefore {
			r.LatestBefore, r.LastTime = p.before.check, p.before.time
		}
	}
}
