package study

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// largestRange is the greatest number of values whose range is used: beyond
// it a range says little about the scatter.
const largestRange = 50

// rangeMoments are mean and standard deviation of the range of m values from the
// standard normal distribution: d2 and d3.
type rangeMoments struct{ mean, deviation float64 }

// rangeOf integrates the distribution of the range, P(W <= w) = m times the
// integral of phi(x) (Phi(x+w) - Phi(x))^(m-1) (Tippett 1925). The tests hold
// five decimals.
func rangeOf(m int) rangeMoments {
	const step, reach, widest = 0.05, 8.0, 16.0
	points := int(2*reach/step) + 1
	more := int(widest / step)
	below := make([]float64, points+more) // Phi
	density := make([]float64, points)
	for i := range below {
		x := -reach + step*float64(i)
		below[i] = distuv.UnitNormal.CDF(x)
		if i < points {
			density[i] = distuv.UnitNormal.Prob(x)
		}
	}
	first, second := 0.0, 0.0
	for k := 0; k <= more; k++ {
		inside := 0.0
		for i := range points {
			if k+i < len(below) {
				inside += density[i] * math.Pow(below[k+i]-below[i], float64(m-1))
			} else {
				inside += density[i] * math.Pow(1-below[i], float64(m-1))
			}
		}
		above := 1 - float64(m)*step*inside
		weight := simpson(k, more) * step / 3
		first += weight * above
		second += weight * 2 * step * float64(k) * above
	}
	return rangeMoments{mean: first, deviation: math.Sqrt(second - first*first)}
}

func simpson(k, last int) float64 {
	switch {
	case k == 0 || k == last:
		return 1
	case k%2 == 1:
		return 4
	default:
		return 2
	}
}

// d2Star is the divisor that makes the mean of g ranges a standard deviation
// whose square is unbiased: sqrt(d2^2 + d3^2/g) (Duncan; MSA manual, appendix C).
func (r rangeMoments) d2Star(g int) float64 {
	return math.Sqrt(r.mean*r.mean + r.deviation*r.deviation/float64(g))
}

// freedom are the degrees of freedom of the mean of g ranges over d2*: those
// of the chi distribution of the same coefficient of variation (Patnaik 1950).
func (r rangeMoments) freedom(g int) float64 {
	wanted := r.mean / r.d2Star(g)
	low, high := 0.5, 1e6
	for range 100 {
		middle := math.Sqrt(low * high)
		up, _ := math.Lgamma((middle + 1) / 2)
		down, _ := math.Lgamma(middle / 2)
		if math.Sqrt(2/middle)*math.Exp(up-down) < wanted {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Sqrt(low * high)
}
