package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
)

// TestTheOtherSignComesFirst: a proof that is just minus the prediction is a slip of a
// sign, or two readings that changed places. Numbers ours.
func TestTheOtherSignComesFirst(t *testing.T) {
	const preload = "gap: g\nparts: kit\nallow: {preload: {min: 0.05, max: 0.15}}\nchoose: {method: middle}\nverify: {measure: {c: {title: gap under the cover}}, play: c}"
	const travel = "gap: g\nparts: kit\nallow: {play: {min: 0.05, max: 0.15}}\nchoose: {method: middle}\nverify: {measure: {in: {title: pushed in}, out: {title: pulled out}}, SUM}"
	direct, through := strings.Replace(travel, "SUM", "play: out - in", 1), strings.Replace(travel, "SUM", "values: {end_play: out - in}, play: end_play", 1)
	const swapped = "Measured is preload 0.100 mm, predicted was play 0.100 mm. It is the predicted value with the other sign. Check that out and in were not swapped, then the signs in the sum of the proof."
	cases := []struct{ name, procedure, readings, said string }{
		{"a preload without its minus", preload, "g 1.40, c 0.10", "Measured is play 0.100 mm, predicted was preload 0.100 mm. It is the predicted value with the other sign. Check the signs in the sum of the proof; a preload is a negative play."},
		{"pushed and pulled", direct, "g 1.60, in 0.30, out 0.20", swapped},
		{"through a value", through, "g 1.60, in 0.30, out 0.20", swapped},
		{"something else", direct, "g 1.60, in 0.30, out 0.26", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := fittedFor(t, c.procedure, c.readings, "1.40 1.50 1.60", procedure.Fitted{Part: "s1.50"})
			if got := findingOf(e, FindingUnpredicted); got != c.said {
				t.Errorf("%q", findingsText(e))
			}
		})
	}
	within := strings.Replace(direct, "play: out - in", "play: out - in, predicted_within: 0.02", 1)
	e := fittedFor(t, within, "g 1.60, in 0.31, out 0.20", "1.40 1.50 1.60", procedure.Fitted{Part: "s1.50"})
	if got := findingOf(e, FindingUnpredicted); !strings.Contains(got, "allowed is 0.020 mm. It is the predicted value with the other sign. Check that out and in were not swapped") {
		t.Errorf("%q", got)
	}
	// Without a prediction the limits tell.
	e = fittedFor(t, direct, "g 1.60, in 0.30, out 0.20", "1.40 1.50 1.60")
	if got := findingOf(e, FindingOutOfBounds); got != "The play is -0.100 mm, allowed is 0.050 to 0.150 mm. With out and in the other way round it would be inside. Check that they were not swapped." {
		t.Errorf("%q", findingsText(e))
	}
}

// fittedFor evaluates readings, "name value" pairs joined by commas, with a kit and
// what was fitted.
func fittedFor(t *testing.T, lines, readings, kit string, fitted ...procedure.Fitted) Evaluation {
	t.Helper()
	return evaluateFitted(t, "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\n"+lines+"\n", kit, readings, fitted)
}

// TestSwappedReadingsOfAJudgedResult: a travel that comes out negative names the two
// readings, of what is judged before fitting too.
func TestSwappedReadingsOfAJudgedResult(t *testing.T) {
	const written = "procedure: p\ntitle: t\nunit: mm\nmeasure: {in: {title: in}, out: {title: out}}\njudge: {travel: {value: out - in, min: 0.05, max: 0.15, otherwise: look for burrs}}\n"
	for readings, want := range map[string]string{
		"in 0.30, out 0.20": "travel is -0.100 mm, allowed is 0.050 to 0.150 mm: look for burrs. With out and in the other way round it would be inside. Check that they were not swapped.",
		"in 0.30, out 0.10": "travel is -0.200 mm, allowed is 0.050 to 0.150 mm: look for burrs.",
		"in 0.10, out 0.20": "",
	} {
		if got := findingOf(evaluateText(t, written, readings), FindingOutOfBounds); got != want {
			t.Errorf("%s: %q", readings, got)
		}
	}
}
