package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// The quantiles are good to 1e-10 relative (held by the tests against closed
// forms and by going back through the distribution) for probabilities from 1e-6
// to 1-1e-6 and 1 to 1000 degrees of freedom; Student's next to its middle, p
// within 0.001 of a half, to 1e-6 absolute. They are NaN for a probability
// outside 0 to 1 (both excluded) and for degrees of freedom that are not
// positive; a fraction of a degree counts as written.

// NormalQuantile is the value below which the standard normal distribution has
// the probability p.
func NormalQuantile(p float64) float64 {
	if !inside(p) {
		return math.NaN()
	}
	return distuv.UnitNormal.Quantile(p)
}

// StudentQuantile is the value below which Student's t distribution with dof
// degrees of freedom has the probability p. Infinite dof give the normal
// distribution.
func StudentQuantile(p, dof float64) float64 {
	switch {
	case !inside(p) || !(dof > 0):
		return math.NaN()
	case math.IsInf(dof, 1):
		return NormalQuantile(p)
	case p == 0.5:
		return 0
	}
	return distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(p)
}

// ChiSquareQuantile is the value below which the chi-square distribution with
// dof degrees of freedom has the probability p.
func ChiSquareQuantile(p, dof float64) float64 {
	if !inside(p) || !(dof > 0) || math.IsInf(dof, 1) {
		return math.NaN()
	}
	return distuv.ChiSquared{K: dof}.Quantile(p)
}

// FQuantile is the value below which the F distribution with dof1 degrees of
// freedom of the numerator and dof2 of the denominator has the probability p.
func FQuantile(p, dof1, dof2 float64) float64 {
	if !inside(p) || !(dof1 > 0) || !(dof2 > 0) || math.IsInf(dof1, 1) || math.IsInf(dof2, 1) {
		return math.NaN()
	}
	if p > 0.5 { // in the upper tail the library cancels; the lower one of 1/F does not
		return 1 / FQuantile(1-p, dof2, dof1)
	}
	return distuv.F{D1: dof1, D2: dof2}.Quantile(p)
}

func inside(p float64) bool { return p > 0 && p < 1 }
