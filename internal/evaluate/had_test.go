package evaluate

import (
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestShown: that a grade cannot be had is not shown once its own place has its part; it
// stays for other places, and what else is found stays too.
func TestShown(t *testing.T) {
	out := gauge.Say("found.missed_nearer")
	at := func(place string) gauge.Message {
		return gauge.Say(atPlace, gauge.Text("place", place), gauge.Nested("said", out))
	}
	in := &procedure.Fitted{Part: "R-194"}
	for name, c := range map[string]struct {
		e    Evaluation
		want int
	}{
		"nothing fitted": {Evaluation{Findings: []Finding{{FindingOutOfStock, out}}}, 1},
		"fitted":         {Evaluation{Fit: Fit{Fitted: in}, Findings: []Finding{{FindingOutOfStock, out}, {FindingWorst, out}}}, 1},
		"its place has its part": {Evaluation{
			Fits:     []Fit{{Place: "lower", Fitted: in}, {Place: "upper"}},
			Findings: []Finding{{FindingOutOfStock, at("lower")}, {FindingTaken, at("lower")}},
		}, 0},
		"another place has its part": {Evaluation{
			Fits:     []Fit{{Place: "lower", Fitted: in}, {Place: "upper"}},
			Findings: []Finding{{FindingOutOfStock, at("upper")}, {FindingTaken, out}},
		}, 2},
	} {
		if got := c.e.Shown(); len(got) != c.want {
			t.Errorf("%s: %d findings are shown, want %d: %v", name, len(got), c.want, got)
		}
	}
}
