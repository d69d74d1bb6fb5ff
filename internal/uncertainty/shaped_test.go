package uncertainty

import (
	"math"
	"testing"
)

// TestShapedAlone: one contribution alone has the distribution function of its
// shape (recomputed: a rectangle is linear, a triangle square, a sine an arc sine).
func TestShapedAlone(t *testing.T) {
	for shape, want := range map[Distribution]float64{
		Rectangular: 0.75, Triangular: 0.875, UShaped: 0.5 + math.Asin(0.5)/math.Pi,
	} {
		b, err := Combine([]Input{{Name: "part", Standard: FromHalfWidth(0.05, shape), Distribution: shape}}, []float64{1})
		if err != nil {
			t.Fatal(err)
		}
		if got := b.Shaped(0.1, math.Inf(-1), 0.125); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", shape, got, want)
		}
	}
}

// TestShapedIsDrawn: beside normal and Student contributions it is what a
// simulation of the same budget finds, within four of its standard errors.
func TestShapedIsDrawn(t *testing.T) {
	for _, shape := range []Distribution{Rectangular, Triangular, UShaped} {
		b, err := Combine([]Input{
			{Name: "part", Standard: FromHalfWidth(0.05, shape), Distribution: shape},
			{Name: "gauge", Standard: 0.006, Distribution: Normal},
			{Name: "repeats", Standard: 0.004, Distribution: Student, Freedom: 12},
		}, []float64{-1, 1, 1})
		if err != nil {
			t.Fatal(err)
		}
		const draws = 100_000
		sample := b.MonteCarlo(draws, 3)
		for _, limit := range []float64{-0.055, -0.04, 0, 0.03, 0.05, 0.06} {
			want := sample.Probability(math.Inf(-1), limit)
			allowed := 4 * math.Sqrt(max(want*(1-want), 1e-4)/draws)
			if got := b.Shaped(0, math.Inf(-1), limit); math.Abs(got-want) > allowed {
				t.Errorf("%s to %v: %v, drawn %v", shape, limit, got, want)
			}
		}
	}
}
