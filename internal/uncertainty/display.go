package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// FromFirst returns the differences of x from its first value. They are taken
// exactly, and are exact up to 2^53, before any float is made.
func FromFirst[T ~int64](x []T) []float64 {
	differences := make([]float64, len(x))
	for i, v := range x {
		differences[i] = float64(v - x[0])
	}
	return differences
}

// Float returns v as the nearest float64.
func Float[T ~int64](v T) float64 { return float64(v) }

// flat is the ratio of display step to standard deviation from which a
// probability of identical readings is no longer told apart from that at it.
const flat = 100

// ProbabilityIdentical returns the probability that n readings show the same
// digits: normal with standard deviation sd about a value that may be anywhere
// within a display step. It is the integral of P(c)^n over the distance c, in
// steps, of the middle of a step from the value, P(c) being the probability of
// one reading in that step; the trapezoidal rule gives it to 1e-12. One
// reading, or no scatter, gives 1. From 100 sd in a step on, the result is that
// for 100, a lower bound.
//
// sd is the scatter before rounding. A standard deviation of readings as shown
// contains that of the step: see [BeforeRounding].
func ProbabilityIdentical(n int, sd, step float64) float64 {
	if n < 2 || sd <= 0 {
		return 1
	}
	ratio := min(step/sd, flat)
	if ratio <= 0 {
		return 0
	}
	const reach, width = 9.0, 1.0 / 32
	sum := 0.0
	for z := -math.Ceil(ratio/2 + reach); z <= ratio/2+reach; z += width {
		in := distuv.UnitNormal.CDF(z+ratio/2) - distuv.UnitNormal.CDF(z-ratio/2)
		sum += math.Pow(in, float64(n))
	}
	return sum * width / ratio
}

// BeforeRounding returns the standard deviation that readings had before a
// display rounded them to its step, from that of the readings as shown: the
// variance less step^2/12 (Sheppard's correction), and 0 when nothing is left.
func BeforeRounding(sd, step float64) float64 {
	return math.Sqrt(max(0, sd*sd-step*step/12))
}
