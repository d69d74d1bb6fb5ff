package evaluate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gauged/internal/gauge"
)

// TestGoodReadingsAreSeldomOutliers: readings of one normal scatter, as a display of 0.01
// mm shows them, that differ by more than the procedure allows, so that the test is made.
// It is one of 1 %; no display step is stated. Seed and numbers ours.
func TestGoodReadingsAreSeldomOutliers(t *testing.T) {
	for _, n := range []int{3, 4, 5, 8} {
		for _, sd := range []float64{0.005, 0.012, 0.030, 0.100} {
			p := fmt.Sprintf("procedure: p\ntitle: t\nunit: mm\nmeasure: {d: {title: d, repeats: %d, agree: %.3f}}\n", n, 2.5*sd)
			p += "values: {v: d}\njudge: {v: {max: 90}}\n"
			j := startRounds(t, p, ringKit)
			r, made, found := rand.New(rand.NewPCG(1, uint64(n))), 0, 0
			for made < 2000 {
				j.in.Readings = nil
				low, high := math.Inf(1), math.Inf(-1)
				var shown []string
				for range n {
					x := math.Round((5+sd*r.NormFloat64())*100) / 100
					low, high = min(low, x), max(high, x)
					shown = append(shown, gauge.Length(math.Round(x*1e9)).Text(gauge.Millimetre, 2))
				}
				if high-low <= 2.5*sd {
					continue
				}
				made++
				for _, f := range j.read("d", shown...).come().Findings {
					if f.Code == FindingOutlier {
						found++
					}
				}
			}
			t.Logf("%d readings, sd %.3f mm: %d of %d", n, sd, found, made)
			if rate := float64(found) / float64(made); rate > 0.02 {
				t.Errorf("%d readings, sd %.3f mm: %.1f %% of good readings are called outliers", n, sd, 100*rate)
			}
		}
	}
}
