package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// RangeFactors returns the mean d2 and the standard deviation d3 of the range
// of n values of the standard normal distribution, by Gauss-Legendre quadrature
// of its distribution, n integral of pdf(x) (cdf(x+r) - cdf(x))^(n-1) dx
// (Tippett 1925, from memory); n is 2 or more.
func RangeFactors(n int) (d2, d3 float64) {
	const reach, points = 8.5, 100
	normal := distuv.UnitNormal
	exceeds := func(r float64) float64 {
		return 1 - float64(n)*quad.Fixed(func(x float64) float64 {
			return normal.Prob(x) * math.Pow(normal.CDF(x+r)-normal.CDF(x), float64(n-1))
		}, -reach, reach, points, nil, 0)
	}
	d2 = quad.Fixed(exceeds, 0, 2*reach, points, nil, 0)
	square := quad.Fixed(func(r float64) float64 { return 2 * r * exceeds(r) }, 0, 2*reach, points, nil, 0)
	return d2, math.Sqrt(square - d2*d2)
}

// MeanStdDevFactor returns c4, the mean of the standard deviation of n normal
// values whose true standard deviation is 1 (NIST/SEMATECH e-Handbook of
// Statistical Methods, 6.3.2); n is 2 or more.
func MeanStdDevFactor(n int) float64 {
	upper, _ := math.Lgamma(float64(n) / 2)
	lower, _ := math.Lgamma(float64(n-1) / 2)
	return math.Sqrt(2/float64(n-1)) * math.Exp(upper-lower)
}
