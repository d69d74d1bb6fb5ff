package evaluate

import (
	"strings"
	"testing"
)

// TestTiesAreNamed: where two parts are equally near, what decided is said.
func TestTiesAreNamed(t *testing.T) {
	const lines = "gap: g\nallow: {play: {min: 0.10, max: 0.20}}\nparts: f\n"
	const grades = "family: f\ntitle: t\nunit: mm\ngrades:\n  - {part: A, thickness: 1.00}\n  - {part: B, thickness: 1.06}\n"
	for choose, want := range map[string]string{
		"{method: middle}":                  "B is equally near; this procedure takes the thinner of the two.",
		"{method: middle, tie: thicker}":    "A is equally near; this procedure takes the thicker of the two.",
		"{aim: {play: 0.15}}":               "B is equally near; this procedure takes the thinner of the two.",
		"{method: thickest}":                "",
		"{method: middle, pack: {most: 1}}": "A pack of 1.060 mm is equally near; this procedure takes the thinner of the two.",
	} {
		e := evaluateWith(t, lines+"choose: "+choose, "1.18", grades)
		if e.Outcome != FitPart || strings.Contains(inEnglish(e.Why), "equally near") != (want != "") || !strings.HasSuffix(inEnglish(e.Why), want) {
			t.Errorf("%s: %s %s", choose, e.Outcome, inEnglish(e.Why))
		}
	}
	if e := evaluateWith(t, lines+"choose: {method: middle}", "1.19", grades); strings.Contains(inEnglish(e.Why), "equally near") {
		t.Errorf("nothing is tied: %s", inEnglish(e.Why))
	}
	e := evaluateText(t, "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\ngap: g\nallow: {play: {min: 0.10, max: 0.20}}\npart: made to size\nchoose: {method: middle, step: 0.02}\n", "g 1.180")
	if want := "in steps of 0.020 mm. 1.040 mm is equally near; this procedure takes the thinner of the two."; !strings.HasSuffix(inEnglish(e.Why), want) || *e.Aim != mm("1.02") {
		t.Errorf("%s", inEnglish(e.Why))
	}
	e = evaluateWith(t, "gap: g\nparts: f\nchoose: {method: table}\n", "2.00", "family: f\ntitle: t\nunit: mm\nborder: upper row\ngrades:\n  - {part: A, serves: {max: 2.00}}\n  - {part: B, serves: {min: 2.00, max: 3.00}}\n")
	if e.Choice == nil || e.Choice.Part != "B" || inEnglish(e.Candidates[0].PassedOver) != "it lies on the border of two rows, where the upper row of the table serves" {
		t.Errorf("%+v", e.Candidates)
	}
}
