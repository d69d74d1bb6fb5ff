package study

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// pivots draws what the expected mean squares may be, given the ones found: the
// sum of squares over a chi-square variate (generalized confidence intervals;
// Weerahandi 1993, for gauge studies Hamada and Weaver 2000, from memory).
// The generator is seeded by the caller, so that a study gives the same
// interval each time.
func pivots(squares []MeanSquare, ratio func(expected []float64) float64, o Options) *Interval {
	pcg := rand.NewPCG(o.Seed, 0)
	found := make([]float64, o.Draws)
	expected := make([]float64, len(squares))
	for i := range found {
		for k, m := range squares {
			expected[k] = m.Freedom * m.Value / distuv.ChiSquared{K: m.Freedom, Src: pcg}.Rand()
		}
		found[i] = ratio(expected)
	}
	slices.Sort(found)
	tail := (1 - o.Confidence) / 2
	at := func(p float64) float64 { return found[int(math.Round(p*float64(o.Draws-1)))] }
	return &Interval{Low: at(tail), High: at(1 - tail)}
}
