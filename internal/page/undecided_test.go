package page

import (
	"strings"
	"testing"
)

// unsureRing is the ring with instruments whose error is stated: a proof of 0.199 mm is
// within it of the limit.
var unsureRing = strings.NewReplacer(
	"measure:\n  depth", "instruments: {dial: {resolution: 0.001, error: 0.004}}\nmeasure:\n  depth", "instrument: depth gauge", "instrument: dial",
	"{title: Height of the boss}", "{title: Height of the boss, instrument: dial}", "{title: End play}", "{title: End play, instrument: dial}",
	"predicted_within: 0.04", "predicted_within: 0.2",
).Replace(ringProcedure)

// TestUndecidedProofIsNotFailed: a proof within its uncertainty of a limit is called
// undecided wherever it is named, in both languages, and is found by that word alone.
func TestUndecidedProofIsNotFailed(t *testing.T) {
	r := rigOf(t, unsureRing)
	r.begin()
	for _, shown := range []string{"25.210", "25.212", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("choose", nil)
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.199", "unit", "mm"})
	for language, want := range map[string][2]string{"en": {"undecided", "failed"}, "de": {"nicht entscheidbar", "nicht bestanden"}} {
		german := []string{"Accept-Language", language}
		for path, text := range map[string]string{
			"/jobs/1":                   r.has("/jobs/1", german, "R160"),
			"/jobs/1/sheet":             r.has("/jobs/1/sheet", german, "R160"),
			"/jobs?outcome=undecided":   r.has("/jobs?outcome=undecided", german, "U 7"),
			"the proof on the job page": proofOf(r.has("/jobs/1", german)),
		} {
			if small := strings.ToLower(text); !strings.Contains(small, want[0]) || strings.Contains(small, "proof "+want[1]) || strings.Contains(small, "nachweis "+want[1]) || strings.Contains(small, "nachweis nicht bestanden") {
				t.Errorf("%s in %s: %.3000s", path, language, text)
			}
		}
		if list := r.has("/jobs?outcome=does+not+conform", german); strings.Contains(list, "U 7") {
			t.Errorf("it is found as one that does not conform: %s", list)
		}
	}
	r.has("/jobs/1", nil, "R160 <small>fitted, proof undecided</small>", "R160 is fitted and its proof is undecided: a limit is within the uncertainty.")
}

func proofOf(page string) string {
	proof, _, _ := strings.Cut(page[strings.Index(page, `id="proof"`):], "</div>")
	return proof
}
