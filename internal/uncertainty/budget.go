package uncertainty

import (
	"fmt"
	"math"
)

// Contribution is what one input adds to the uncertainty of a result.
type Contribution struct {
	Input
	Sensitivity  float64 // change of the result per change of the input
	Contribution float64 // standard uncertainty of the result that this input alone causes
	Share        float64 // of the variance of the result, 0 to 1
}

// Budget is the uncertainty of a result that is linear in independent inputs.
type Budget struct {
	Contributions []Contribution // in the order of the inputs
	Standard      float64        // combined standard uncertainty
	Freedom       float64        // effective degrees of freedom, +Inf when infinite
}

// Combine makes the budget of independent inputs with their sensitivities: root
// sum of squares (JCGM 100, eq. 10), effective degrees of freedom by the
// Welch-Satterthwaite formula (eq. G.2b). It fails when an input cannot be
// computed with; the error names it.
func Combine(inputs []Input, sensitivities []float64) (Budget, error) {
	if len(inputs) != len(sensitivities) {
		return Budget{}, fmt.Errorf("%d inputs have %d sensitivities: each input needs one", len(inputs), len(sensitivities))
	}
	if err := check(inputs); err != nil {
		return Budget{}, err
	}
	b := Budget{Contributions: make([]Contribution, len(inputs)), Freedom: math.Inf(1)}
	for i, in := range inputs {
		c := sensitivities[i]
		if !finite(c) {
			return Budget{}, fmt.Errorf("input %q: the sensitivity %v is not a number to compute with", in.Name, c)
		}
		b.Contributions[i] = Contribution{Input: in, Sensitivity: c, Contribution: math.Abs(c) * in.Standard}
	}
	b.Standard, b.Freedom = combined(b.Contributions, -1)
	for i := range b.Contributions {
		if b.Standard > 0 {
			share := b.Contributions[i].Contribution / b.Standard
			b.Contributions[i].Share = share * share
		}
	}
	return b, nil
}

// combined is the standard uncertainty and effective freedom of all
// contributions but the one at index without (-1: of all). It works with
// fractions of the greatest, so that nothing over- or underflows.
func combined(contributions []Contribution, without int) (standard, freedom float64) {
	greatest := 0.0
	for i, c := range contributions {
		if i != without {
			greatest = max(greatest, c.Contribution)
		}
	}
	if greatest == 0 {
		return 0, math.Inf(1)
	}
	variance, fourth := 0.0, 0.0
	for i, c := range contributions {
		if i != without {
			fraction := c.Contribution / greatest
			v := float64(fraction * fraction)
			variance += v
			fourth += float64(v*v) / c.freedom()
		}
	}
	return greatest * math.Sqrt(variance), variance * variance / fourth
}

// Plus is the budget with one more independent contribution of infinite freedom,
// which counts in the sum and does not stand in the table.
func (b Budget) Plus(standard float64) Budget {
	sum := Budget{Standard: math.Hypot(b.Standard, standard), Freedom: b.Freedom}
	if b.Standard > 0 && !math.IsInf(b.Freedom, 1) {
		ratio := sum.Standard / b.Standard
		sum.Freedom *= ratio * ratio * ratio * ratio // Welch-Satterthwaite
	}
	return sum
}

// Coverage is the factor k that makes an expanded uncertainty of level of
// confidence p, such as 0.95, from Standard (JCGM 100, G.3.2). The effective
// freedom counts with its fraction, so that a verdict does not jump where it
// passes a whole number; JCGM 100 G.4.1 allows this and cutting it off.
func (b Budget) Coverage(p float64) (k float64) {
	return exceeded((1-p)/2, b.Freedom)
}

// Expanded is the expanded uncertainty of level of confidence p, in the unit of
// the budget, and its coverage factor.
func (b Budget) Expanded(p float64) (expanded, k float64) {
	k = b.Coverage(p)
	return k * b.Standard, k
}

// Probability is the probability that a value with this budget lies between low
// and high, which may be infinite, when estimate was found (JCGM 106, clause 7).
// It is Student's t with Freedom, or the normal distribution, good to 1e-9. Without
// any uncertainty it is 1 or 0, and a value on a limit is inside.
func (b Budget) Probability(estimate, low, high float64) float64 {
	switch {
	case low > high:
		return 0
	case b.Standard == 0:
		if low <= estimate && estimate <= high {
			return 1
		}
		return 0
	}
	return between((low-estimate)/b.Standard, (high-estimate)/b.Standard, b.Freedom)
}
