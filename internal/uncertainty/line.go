package uncertainty

import "math"

// Sums are the running sums of weighted points (x, y) about their own means.
// They take one point after the other and keep none; the means move with the
// points, so that nothing cancels when x or y is far from 0 (West, "Updating
// mean and variance estimates", 1979, from memory). The zero value has no point.
type Sums struct {
	N          int
	Weight     float64 // sum of the weights
	X, Y       float64 // weighted means
	XX, XY, YY float64 // sums of w dx dx, w dx dy and w dy dy about the means
}

// Add takes one point with its weight, which is above 0.
func (s *Sums) Add(x, y, weight float64) {
	s.N++
	s.Weight += weight
	dx, dy, part := x-s.X, y-s.Y, weight/s.Weight
	s.X += part * dx
	s.Y += part * dy
	s.XX += weight * dx * (x - s.X)
	s.XY += weight * dx * (y - s.Y)
	s.YY += weight * dy * (y - s.Y)
}

// StudentQuantileOfSeveral is the factor t* by which the largest of m values,
// each divided by the same estimated standard deviation with dof degrees of
// freedom, is exceeded with the probability alpha on either side together:
// Student's quantile for 1 - zeta, zeta = (1 - (1-alpha)^(1/m))/2
// (NIST/SEMATECH e-Handbook of Statistical Methods, 2.3.7).
func StudentQuantileOfSeveral(alpha float64, m int, dof float64) float64 {
	zeta := -math.Expm1(math.Log1p(-alpha)/float64(m)) / 2
	return -StudentQuantile(zeta, dof)
}
