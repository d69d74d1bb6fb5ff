package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// between is the probability of Student's t with freedom nu between a and b,
// a <= b. It subtracts the smaller tails, which keeps small probabilities exact.
func between(a, b, nu float64) float64 {
	switch {
	case a > 0:
		return above(a, nu) - above(b, nu)
	case b < 0:
		return above(-b, nu) - above(-a, nu)
	}
	return 1 - above(-a, nu) - above(b, nu)
}

// hill is the freedom from which on Hill's expansion is good to 1e-9; the tests
// hold 1e-10.
const hill = 100

// above is the probability of Student's t with freedom nu above t >= 0.
func above(t, nu float64) float64 {
	switch square := t * t; {
	case math.IsNaN(t) || math.IsNaN(nu):
		return math.NaN()
	case math.IsInf(t, 1):
		return 0
	case math.IsInf(nu, 1):
		return math.Erfc(t/math.Sqrt2) / 2
	case nu >= hill:
		return math.Erfc(likeNormal(t, nu)/math.Sqrt2) / 2
	case square < nu: // from the middle: nu / (nu + square) would round to 1
		return 0.5 - mathext.RegIncBeta(0.5, nu/2, square/(nu+square))/2
	default:
		return mathext.RegIncBeta(nu/2, 0.5, nu/(nu+square)) / 2
	}
}

// likeNormal is the value that the standard normal distribution exceeds as
// often as Student's t with freedom nu exceeds t (G. W. Hill, Algorithm 395,
// Communications of the ACM 13, 1970; from memory, held by the tests).
func likeNormal(t, nu float64) float64 {
	a := nu - 0.5
	b := 48 * a * a
	y := a * math.Log1p(t*t/nu)
	series := ((((-0.4*y-3.3)*y-24)*y-85.5)/(0.8*y*y+100+b)+y+3)/b + 1
	return series * math.Sqrt(y)
}

// exceeded is the value above which Student's t with freedom nu has the
// probability q, below one half. Newton's steps make a quantile that is good to
// some digits as good as above.
func exceeded(q, nu float64) float64 {
	if math.IsInf(nu, 1) {
		return -NormalQuantile(q)
	}
	t := 0.0
	switch {
	case nu > nearlyNormal:
		t = -NormalQuantile(q)
	case nu > 30 && q > 1e-4:
		// Expansion about the normal quantile (Abramowitz and Stegun, 26.7.5),
		// good to four digits here and much faster than a search.
		z := -NormalQuantile(q)
		t = z + (z*z*z+z)/(4*nu) + (5*math.Pow(z, 5)+16*z*z*z+3*z)/(96*nu*nu)
	default:
		t = -StudentQuantile(q, nu)
	}
	for range 2 {
		t += (above(t, nu) - q) / density(t, nu)
	}
	return t
}

// nearlyNormal is the freedom from which on the normal distribution has the
// first six digits of Student's t, and logarithms of gamma functions, as large
// as they are, do not.
const nearlyNormal = 1e6

// density is that of Student's t with freedom nu, good to six digits.
func density(t, nu float64) float64 {
	if nu > nearlyNormal {
		return math.Exp(-t*t/2) / math.Sqrt(2*math.Pi)
	}
	up, _ := math.Lgamma((nu + 1) / 2)
	down, _ := math.Lgamma(nu / 2)
	return math.Exp(up-down-(nu+1)/2*math.Log1p(t*t/nu)) / math.Sqrt(nu*math.Pi)
}
