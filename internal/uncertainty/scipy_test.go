package uncertainty

import (
	"fmt"
	"math"
	"testing"
)

// reference is what tools/scipy-check/distributions.py stored.
type reference struct {
	Student, Normal, Quantiles []struct{ Freedom, T, Above float64 }
	F                          []struct{ D1, D2, P, F float64 } `json:"f_quantiles"`
	Grubbs                     []struct {
		N        int
		Level    float64
		TwoSided bool `json:"two_sided"`
		Critical float64
	}
	Sums []struct {
		Name  string
		Parts []struct {
			Shape             Distribution
			Standard, Freedom float64
		}
		Above []struct{ Y, P float64 }
	}
}

func TestDistributionsAgainstAnotherLibrary(t *testing.T) {
	var want reference
	readJSON(t, "uncertainty/scipy.json", &want)
	if len(want.Student) == 0 || len(want.Normal) == 0 || len(want.Quantiles) == 0 || len(want.F) == 0 || len(want.Grubbs) == 0 {
		t.Fatal("scipy.json has no values")
	}
	for _, w := range want.Student {
		near(t, fmt.Sprintf("P(t > %v), freedom %v", w.T, w.Freedom), above(w.T, w.Freedom), w.Above, 1e-10)
	}
	for _, w := range want.Normal {
		near(t, fmt.Sprintf("P(z > %v)", w.T), above(w.T, math.Inf(1)), w.Above, 1e-13*w.Above)
	}
	for _, w := range want.Quantiles {
		b := Budget{Standard: 1, Freedom: w.Freedom}
		if w.Freedom == 0 {
			b.Freedom = math.Inf(1)
		}
		near(t, fmt.Sprintf("t above which is %v, freedom %v", w.Above, w.Freedom), b.Coverage(1-2*w.Above), w.T, 1e-9*max(1, w.T))
	}
	for _, w := range want.F {
		near(t, fmt.Sprintf("F(%v; %v, %v)", w.P, w.D1, w.D2), FQuantile(w.P, w.D1, w.D2), w.F, 1e-8*w.F)
	}
	for _, w := range want.Grubbs {
		side := LargestSide
		if w.TwoSided {
			side = EitherSide
		}
		near(t, fmt.Sprintf("Grubbs %+v", w), GrubbsCritical(w.N, Level(w.Level), side), w.Critical, 1e-8)
	}
}

// TestSumsAgainstAnotherLibrary compares a sample's probabilities with integrals,
// within four standard errors of the sample.
func TestSumsAgainstAnotherLibrary(t *testing.T) {
	var want reference
	readJSON(t, "uncertainty/scipy.json", &want)
	if len(want.Sums) == 0 {
		t.Fatal("scipy.json has no sums")
	}
	const draws = 400_000
	for _, w := range want.Sums {
		var inputs []Input
		var ones []float64
		for _, p := range w.Parts {
			in := Input{Name: w.Name, Standard: p.Standard, Distribution: p.Shape}
			if p.Shape == Student {
				in.Freedom = p.Freedom
			}
			inputs, ones = append(inputs, in), append(ones, 1)
		}
		s := combine(t, inputs, ones...).MonteCarlo(draws, 7)
		for _, a := range w.Above {
			allowed := 4 * math.Sqrt(a.P*(1-a.P)/draws)
			near(t, fmt.Sprintf("%s: P(> %.3f)", w.Name, a.Y), s.Probability(a.Y, math.Inf(1)), a.P, allowed)
			near(t, fmt.Sprintf("%s: P(< -%.3f)", w.Name, a.Y), s.Probability(math.Inf(-1), -a.Y), a.P, allowed)
		}
	}
}
