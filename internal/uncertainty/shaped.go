package uncertainty

import "math"

// shapedCells is how finely the shape of a contribution is cut; a probability is
// good to half a cell where all else is far smaller than one, and far better
// elsewhere.
const shapedCells = 2000

// Shaped is Probability where the contribution that Dominant names keeps its own
// shape, and all others together are one Student's t around it: the convolution
// of both, computed without draws. Without such a contribution it is Probability.
func (b Budget) Shaped(estimate, low, high float64) float64 {
	index := b.dominant()
	if index < 0 || low > high {
		return b.Probability(estimate, low, high)
	}
	c := b.Contributions[index]
	rest, freedom := combined(b.Contributions, index)
	low, high = low-estimate, high-estimate
	if rest == 0 {
		return c.below(high) - c.below(low)
	}
	sum := 0.0
	for i := range shapedCells {
		x := c.Contribution * c.Distribution.quantile((float64(i)+0.5)/shapedCells)
		sum += between((low-x)/rest, (high-x)/rest, freedom)
	}
	return sum / shapedCells
}

// below is the distribution function of a contribution with limits, about 0.
func (c Contribution) below(x float64) float64 {
	limit := c.Distribution.limit() * c.Contribution
	z := min(max(x/limit, -1), 1) // from one limit to the other
	switch c.Distribution {
	case Triangular:
		if z < 0 {
			return (1 + z) * (1 + z) / 2
		}
		return 1 - (1-z)*(1-z)/2
	case UShaped:
		return 0.5 + math.Asin(z)/math.Pi
	default:
		return (1 + z) / 2
	}
}
