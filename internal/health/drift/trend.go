package drift

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// LeastDoF are the degrees of freedom that a trend needs. With fewer, a
// standard error is hardly known itself. The number is ours.
const LeastDoF = 2

// Trend is the running least-squares line of errors over time or over uses. An
// adjustment begins a new piece: all pieces have one slope, each has its own
// level. It is of fixed size; one more check costs the same after any number.
//
// Points with a standard uncertainty are weighted by its inverse square as
// long as every point has one; else all count alike. The zero value is empty.
type Trend struct {
	plain, weighted pieces
	unstated        bool // a point had no uncertainty
}

// Add takes the error y at x, with its standard uncertainty or 0.
func (t *Trend) Add(x, y, uncertainty float64) {
	t.plain.here.Add(x, y, 1)
	if t.unstated = t.unstated || uncertainty <= 0; !t.unstated {
		t.weighted.here.Add(x, y, 1/(uncertainty*uncertainty))
	}
}

// Break begins a new piece: what follows has a level of its own.
func (t *Trend) Break() {
	t.plain.fold()
	t.weighted.fold()
}

// AddCheck takes a check at x: its error as found, and after an adjustment the
// error as left, where it is known, as the first of a new piece.
func (t *Trend) AddCheck(x float64, c Check) {
	t.Add(x, c.Found, c.Uncertainty)
	if c.Changed() {
		t.Break()
	}
	if c.Left != nil {
		t.Add(x, *c.Left, c.Uncertainty)
	}
}

// Line returns the line through what was added, or says why there is none.
func (t *Trend) Line() (Line, error) {
	if t.unstated {
		return t.plain.line(false)
	}
	return t.weighted.line(true)
}

// pieces are the sums of finished pieces, each about its own means, and the
// sums of the piece that goes on.
type pieces struct {
	within within
	here   uncertainty.Sums
}

// within is what sums about the means of several pieces have in common.
type within struct {
	n, pieces  int
	weight     float64
	xx, xy, yy float64
}

func (w within) with(s uncertainty.Sums) within {
	if s.N == 0 {
		return w
	}
	return within{w.n + s.N, w.pieces + 1, w.weight + s.Weight, w.xx + s.XX, w.xy + s.XY, w.yy + s.YY}
}

// rest is the sum of squares about the common slope.
func (w within) rest() float64 {
	if w.xx == 0 {
		return w.yy
	}
	return max(0, w.yy-w.xy*w.xy/w.xx)
}

func (p *pieces) fold() {
	p.within = p.within.with(p.here)
	p.here = uncertainty.Sums{}
}

// scatterless is the part of the sum of squares below which what is left of it
// is rounding.
const scatterless = 1e-13

func (p *pieces) line(weighted bool) (Line, error) {
	all := p.within.with(p.here)
	dof := all.n - all.pieces - 1
	switch {
	case all.n == 0:
		return Line{}, gauge.Refused("trend.no_checks")
	case p.here.N == 0:
		return Line{}, gauge.Refused("trend.none_since")
	case dof < LeastDoF:
		return Line{}, gauge.Refused("trend.few", gauge.Count("least", LeastDoF), gauge.Count("missing", LeastDoF-dof))
	case !(all.xx > 0):
		return Line{}, gauge.Refused("trend.one_time")
	}
	factor := all.rest() / float64(dof)
	if weighted { // never below what the uncertainties say: see Line.Factor
		factor = max(1, factor)
	} else if all.rest() <= scatterless*all.yy {
		return Line{}, gauge.Refused("trend.no_scatter")
	}
	rate := all.xy / all.xx
	return Line{
		Rate: rate, RateError: math.Sqrt(factor / all.xx), DoF: dof, Points: all.n, Pieces: all.pieces, Weighted: weighted,
		Factor: factor, SD: math.Sqrt(factor * float64(all.n) / all.weight),
		Centre: p.here.X, Level: p.here.Y, LevelError: math.Sqrt(factor / p.here.Weight),
	}, nil
}

// calmLevel is how often checks that are independent scatter so little by chance;
// ours.
const calmLevel = 0.01

// calm says that the weighted residuals are far smaller than the uncertainties.
func (t *Trend) calm() bool {
	all := t.weighted.within.with(t.weighted.here)
	dof := all.n - all.pieces - 1
	return !t.unstated && dof >= LeastDoF && all.rest() < uncertainty.ChiSquareQuantile(calmLevel, float64(dof))
}
