package drift

import (
	"math"

	"gauged/internal/uncertainty"
)

// Line is a fitted trend. It holds for the piece that goes on; x is in days or
// uses, as the points were.
type Line struct {
	Rate      float64 `json:"rate"`       // error per x
	RateError float64 `json:"rate_error"` // its standard error
	DoF       int     `json:"degrees_of_freedom"`
	Points    int     `json:"points"`
	Pieces    int     `json:"pieces"`
	Weighted  bool    `json:"weighted"`

	// Factor is the variance of a point of weight 1: of the residuals, and for
	// weighted points at least 1, so that residuals which are small by chance
	// never make the uncertainties smaller than stated.
	Factor float64 `json:"factor"`
	SD     float64 `json:"sd"` // standard deviation of one error about the line

	Centre     float64 `json:"centre"` // mean x and mean error of the piece that goes on
	Level      float64 `json:"level"`
	LevelError float64 `json:"level_error"` // standard error of the level, of what is independent from check to check

	// Shared is the standard uncertainty of what all points have in common, such as
	// the certificate of the master. It is in the level and in no rate.
	Shared float64 `json:"shared,omitempty"`
}

// factor is Student's for a two-sided interval.
func (l Line) factor(confidence float64) float64 {
	return uncertainty.StudentQuantile((1+confidence)/2, float64(l.DoF))
}

// RateInterval returns the ends of the confidence interval of the rate.
func (l Line) RateInterval(confidence float64) (low, high float64) {
	half := l.factor(confidence) * l.RateError
	return l.Rate - half, l.Rate + half
}

// Significant says that the interval of the rate does not hold 0.
func (l Line) Significant(confidence float64) bool {
	return math.Abs(l.Rate) > l.factor(confidence)*l.RateError
}

// At returns the error that the line has at x and its standard uncertainty
// (JCGM 100:2008, H.3.4), that of what all points share included.
func (l Line) At(x float64) (value, uncertainty float64) {
	value, u := l.fitted(x)
	return value, math.Hypot(u, l.Shared)
}

// fitted is At without what all points share.
func (l Line) fitted(x float64) (value, uncertainty float64) {
	d := x - l.Centre
	return l.Level + l.Rate*d, math.Hypot(l.LevelError, d*l.RateError)
}

// sharedIn is Shared in an interval whose factor is Student's: as what is shared is
// known otherwise than from the scatter, it counts with the normal one.
func (l Line) sharedIn(confidence float64) float64 {
	return l.Shared * uncertainty.NormalQuantile((1+confidence)/2) / l.factor(confidence)
}

// Covariance returns that of the rate with the value at x.
func (l Line) Covariance(x float64) float64 { return (x - l.Centre) * l.RateError * l.RateError }

// Next returns the error that one further check at x is expected to find, and
// the standard uncertainty of that: the line's and the scatter of one check. What
// all checks share is not in it: the next check will have it too.
func (l Line) Next(x float64) (value, uncertainty float64) {
	value, u := l.fitted(x)
	return value, math.Hypot(u, l.SD)
}

// Reach says where a line comes to a limit.
type Reach struct {
	Limit       float64 `json:"limit"`       // with the sign of the side
	Outside     bool    `json:"outside"`     // the line is beyond a limit already
	Significant bool    `json:"significant"` // else the limit is not reached: X, Early and Late are 0
	X           float64 `json:"x"`
	Early       float64 `json:"early"` // ends of the confidence interval of X
	Late        float64 `json:"late"`
}

// Reaches says where the line comes to the limit that it moves towards, +mpe
// or -mpe; from is the last check. The interval is that of Fieller ("Some
// problems in interval estimation", 1954, from memory): all x at which the
// confidence band of the line holds the limit, what all checks share included. It has two ends just when the
// rate is significant at the same confidence; when it is not, the line is said
// not to reach the limit.
func (l Line) Reaches(mpe, from, confidence float64) Reach {
	now, _ := l.At(from)
	r := Reach{Limit: math.Copysign(mpe, l.Rate), Outside: math.Abs(now) > mpe, Significant: l.Significant(confidence)}
	if !r.Significant {
		return r
	}
	q := l.factor(confidence)
	vb, vm, distance := l.RateError*l.RateError, square(l.LevelError)+square(l.sharedIn(confidence)), r.Limit-l.Level
	a := l.Rate*l.Rate - q*q*vb
	root := q * math.Sqrt(vb*distance*distance+vm*a)
	r.X = l.Centre + distance/l.Rate
	r.Early = l.Centre + (l.Rate*distance-root)/a
	r.Late = l.Centre + (l.Rate*distance+root)/a
	return r
}

// Leaves returns the first x from `from` on at which the prediction band for
// one further check, with what all checks share, crosses a limit, either side:
// until then the error is expected inside with the confidence. It returns from when the band is across
// already, and ahead when it stays inside until there.
func (l Line) Leaves(mpe, from, ahead, confidence float64) float64 {
	q, shared := l.factor(confidence), l.sharedIn(confidence)
	inside := func(x float64) bool {
		value, u := l.Next(x)
		return math.Abs(value)+q*math.Hypot(u, shared) <= mpe
	}
	if !inside(from) {
		return from
	}
	if inside(ahead) { // the band is convex, so that the x inside are one interval
		return ahead
	}
	low, high := from, ahead
	for range 200 {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if inside(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}
