package evaluate

import (
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestOneSidedTolerances: washers that may only be thinner leave more play, and
// are held against their own limits when they are measured.
func TestOneSidedTolerances(t *testing.T) {
	const lines = "gap: g\nallow: {play: {min: 0.10, max: 0.15}}\nchoose: {method: middle}"
	family := func(tolerance string) string {
		return kitOf("grades:", "  - {part: a, thickness: 1.50, "+tolerance+"}", "  - {part: b, thickness: 1.60}")
	}
	cases := []struct{ tolerance, worst, probability string }{
		{"tolerance: {plus: 0, minus: 0.04}", "0.130 to 0.170 mm", "50 %"},
		{"range: {min: 1.46, max: 1.50}", "0.130 to 0.170 mm", "50 %"},
		{"tolerance: {plus: 0.02, minus: 0.02}", "0.110 to 0.150 mm", "100 %"},
		{"range: {min: 1.48, max: 1.52}", "0.110 to 0.150 mm", "100 %"},
		{"tolerance: {plus: 0.01, minus: 0.03}", "0.120 to 0.160 mm", "75 %"},
	}
	p := &procedure.Procedure{Unit: gauge.Millimetre, Decimals: 3}
	for _, c := range cases {
		e := familyFor(t, lines, "1.63", family(c.tolerance))
		if e.Choice == nil || e.Choice.Part != "a" || *e.Choice.Play != mm("0.13") || e.Choice.Worst == nil || p.ShowLimits(*e.Choice.Worst) != c.worst || e.Choice.Probability.String() != c.probability {
			t.Errorf("%s: %+v, %v", c.tolerance, e.Choice, e.Choice.Probability)
		}
	}
	_, err := procedure.ReadFamily("f.yaml", []byte(family("range: {min: 1.51, max: 1.53}")))
	checkError(t, err, "f.yaml:5:39: the thickness of 1.5 mm is not within the printed range 1.51 to 1.53 mm: look for a slip of the pen")
	_, err = procedure.ReadFamily("f.yaml", []byte(family("tolerance: {plus: 0.11, minus: 0}")))
	checkError(t, err, "f.yaml:6:26: the tolerance of 0.11 mm is larger than the step of 0.1 mm from the row before: such grades cannot be told apart; look for a slip of the pen")
	_, err = procedure.ReadFamily("f.yaml", []byte(family("tolerance: 0.01, range: {min: 1.49, max: 1.51}")))
	checkError(t, err, "f.yaml:5:43: the range says what the tolerance is: remove one of them")
}

// TestMeasuredThicknessAgainstOneSidedTolerance: too thick by a hair is said.
func TestMeasuredThicknessAgainstOneSidedTolerance(t *testing.T) {
	for thickness, said := range map[string]bool{"1.501": true, "1.500": false, "1.460": false, "1.459": true} {
		measured := mm(thickness)
		e := bench{readings: "depth 25.335, depth 25.335, depth 25.335, height 24", family: []string{"thickness: 1.50", "thickness: 1.50, tolerance: {plus: 0, minus: 0.04}"}, fitted: &procedure.Fitted{Part: "R150", Thickness: &measured}}.run(t)
		found := false
		for _, f := range e.Findings {
			found = found || f.Code == FindingThickness && inEnglish(f.Says) == "R150 measures "+thickness+" mm but should be 1.460 to 1.500 mm. Check that it is the right part, clean and free of burrs."
		}
		if found != said {
			t.Errorf("%s: %s", thickness, findingsText(e))
		}
	}
}
