package drift

import "testing"

// TestPointing: the chart that points is named with its point, and shown although
// another point decides.
func TestPointing(t *testing.T) {
	far := errorsAt(3, 3.1, 3, 3.1, 3, 3.05, 3.1, 3, 3.1, 3)
	odd := errorsAt(0, 0.1, 0, 0.1, 0, 0.05, 0.1, 0, 0.1, 1)
	g := gaugeOf(t, Options{MPE: 4}, Series{Point: "far", Checks: far}, Series{Point: "odd", Checks: odd})
	signals := g.Pointing()
	if g.Worst().Point != "far" || len(signals) == 0 || signals[0].Chart != SingleChart || signals[0].Point != "odd" || told(signals[0].What) != "one error beyond its limits" || g.ToShow().Point != "odd" {
		t.Errorf("%s decides, %+v, %s is shown", g.Worst().Point, signals, g.ToShow().Point)
	}
	for _, s := range signals {
		if s.Point != "odd" {
			t.Errorf("%+v", s)
		}
	}
	if g := gaugeOf(t, Options{MPE: 4}, Series{Point: "far", Checks: far}); g.Pointing() != nil || g.ToShow().Point != "far" {
		t.Errorf("%+v", g.Pointing())
	}
}
