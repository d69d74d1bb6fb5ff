package study

import (
	"math"

	"gauged/internal/uncertainty"
)

// Line is a least-squares straight line y = Intercept + Slope x with what is
// known of it (e-Handbook, 2.3.6.7; JCGM 100, H.3).
type Line struct {
	Intercept     float64 `json:"intercept"`
	Slope         float64 `json:"slope"`
	InterceptErr  float64 `json:"intercept_standard_error"`
	SlopeErr      float64 `json:"slope_standard_error"`
	Covariance    float64 `json:"covariance"`
	Residual      float64 `json:"residual_standard_deviation"`
	Freedom       float64 `json:"freedom"`
	RSquared      float64 `json:"r_squared"`
	mean, squares float64 // of x
	meanY, n      float64
	origin        float64 // that x was counted from
}

// Fit fits a line to points with at least two different x and three points. The
// sums are those of differences from the means.
func Fit(x, y []float64) Line {
	n := float64(len(x))
	meanX, _ := uncertainty.MeanStdDev(x)
	meanY, _ := uncertainty.MeanStdDev(y)
	var xx, xy float64
	for i := range x {
		xx += square(x[i] - meanX)
		xy += (x[i] - meanX) * (y[i] - meanY)
	}
	l := Line{Slope: xy / xx, Freedom: n - 2, mean: meanX, squares: xx, meanY: meanY, n: n}
	l.Intercept = meanY - l.Slope*meanX
	residual, total := 0.0, 0.0
	for i := range x {
		residual += square(y[i] - meanY - l.Slope*(x[i]-meanX))
		total += square(y[i] - meanY)
	}
	l.Residual = math.Sqrt(residual / l.Freedom)
	l.SlopeErr = l.Residual / math.Sqrt(xx)
	l.InterceptErr = l.Residual * math.Sqrt(1/n+square(meanX)/xx)
	l.Covariance = -meanX * square(l.SlopeErr)
	if total > 0 {
		l.RSquared = 1 - residual/total
	}
	return l
}

// from is the line whose x were counted from an origin, with the intercept at an x of 0.
func (l Line) from(origin float64) Line {
	mean := l.mean + origin
	l.origin = origin
	l.Intercept = l.meanY - l.Slope*mean
	l.InterceptErr = l.Residual * math.Sqrt(1/l.n+square(mean)/l.squares)
	l.Covariance = -mean * square(l.SlopeErr)
	return l
}

// At returns the line's value at x and its standard uncertainty.
func (l Line) At(x float64) (value, standard float64) { return l.at(x - l.origin) }

// at is At for an x that is counted from the origin.
func (l Line) at(off float64) (value, standard float64) {
	return l.meanY + l.Slope*(off-l.mean), l.Residual * math.Sqrt(1/l.n+square(off-l.mean)/l.squares)
}
