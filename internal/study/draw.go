package study

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// draws is how many generalized pivots are drawn for an interval of a ratio;
// its ends are then good to some hundredths of their distance.
const draws = 20_000

// pivots draws what the expected mean squares may be, given the ones found: the
// sum of squares over a chi-square variate (generalized confidence intervals;
// Weerahandi 1993, for gauge studies Hamada and Weaver 2000, from memory).
// The generator is seeded by the caller, so that a study gives the same
// interval each time.
func pivots(squares []MeanSquare, seed uint64, ratio func(expected []float64) float64, confidence float64) *Interval {
	pcg := rand.NewPCG(seed, 0)
	found := make([]float64, draws)
	expected := make([]float64, len(squares))
	for i := range found {
		for k, m := range squares {
			expected[k] = m.Freedom * m.Value / distuv.ChiSquared{K: m.Freedom, Src: pcg}.Rand()
		}
		found[i] = ratio(expected)
	}
	slices.Sort(found)
	tail := (1 - confidence) / 2
	at := func(p float64) float64 { return found[int(math.Round(p*(draws-1)))] }
	return &Interval{Low: at(tail), High: at(1 - tail)}
}
