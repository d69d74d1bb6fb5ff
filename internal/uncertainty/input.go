package uncertainty

import (
	"fmt"
	"math"
)

// Distribution is the shape of what is known about a value.
type Distribution string

// Normal and Student are one shape, which the freedom decides: with finite
// freedom it is Student's t (JCGM 101, 6.4.9), with infinite freedom the normal
// distribution (6.4.7). The others lie between two limits; with finite freedom
// the limits themselves are not exactly known.
const (
	Normal      Distribution = "normal"      // such as the expanded uncertainty of a certificate
	Student     Distribution = "student"     // the mean of repeated readings
	Rectangular Distribution = "rectangular" // anywhere between two limits
	Triangular  Distribution = "triangular"  // between two limits, more likely in the middle
	UShaped     Distribution = "u-shaped"    // between two limits, more likely next to them: a sine
)

// Input is a value that goes into a result, with what is known about it.
type Input struct {
	Name         string
	Estimate     float64 // the best value
	Standard     float64 // standard uncertainty of the estimate, not negative
	Distribution Distribution
	Freedom      float64 // degrees of freedom of Standard; 0 and +Inf are infinite
}

// freedom is Freedom with +Inf for infinite.
func (in Input) freedom() float64 {
	if in.Freedom == 0 {
		return math.Inf(1)
	}
	return in.Freedom
}

// check refuses an input that cannot be computed with.
func (in Input) check() error {
	switch in.Distribution {
	case Normal, Student, Rectangular, Triangular, UShaped:
	default:
		return fmt.Errorf("input %q: unknown distribution %q: it is one of normal, student, rectangular, triangular, u-shaped", in.Name, in.Distribution)
	}
	switch {
	case !finite(in.Estimate):
		return fmt.Errorf("input %q: the estimate %v is not a number to compute with", in.Name, in.Estimate)
	case !finite(in.Standard) || in.Standard < 0:
		return fmt.Errorf("input %q: the standard uncertainty %v is not a finite number of at least 0", in.Name, in.Standard)
	case !(in.Freedom >= 0):
		return fmt.Errorf("input %q: %v degrees of freedom: give a number over 0, or 0 for infinite", in.Name, in.Freedom)
	}
	return nil
}

func check(inputs []Input) error {
	for _, in := range inputs {
		if err := in.check(); err != nil {
			return err
		}
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// FromHalfWidth is the standard uncertainty of a value that lies within halfWidth
// of its estimate (JCGM 100, 4.3.7 and 4.3.9; a sine: H.1.3.4). Limits that are
// not symmetric count as half their distance (4.3.8). It is NaN, which Combine
// refuses, for a distribution that has no limits.
func FromHalfWidth(halfWidth float64, d Distribution) float64 {
	if limit := d.limit(); limit > 0 {
		return halfWidth / limit
	}
	return math.NaN()
}

// FromExpanded is the standard uncertainty of a stated expanded uncertainty
// with its coverage factor k (JCGM 100, 4.3.3 and 4.3.4).
func FromExpanded(expanded, k float64) float64 { return expanded / k }

// Resolution is the standard uncertainty of a value read from a display that
// counts in steps (JCGM 100, F.2.2.1).
func Resolution(step float64) float64 { return step / math.Sqrt(12) }

// limit is the half-width between the limits in standard uncertainties, 0 when
// there are none.
func (d Distribution) limit() float64 {
	switch d {
	case Rectangular:
		return math.Sqrt(3)
	case Triangular:
		return math.Sqrt(6)
	case UShaped:
		return math.Sqrt2
	}
	return 0
}
