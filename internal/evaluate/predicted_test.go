package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// twoKinds are grades of which the thinner is stated ten times worse; numbers ours.
const twoKinds = `family: kit
title: t
unit: mm
grades: [{part: wide, thickness: 1.450, tolerance: 0.040}, {part: close, thickness: 1.500, tolerance: 0.004}]
`

const gapOfTwoKinds = `procedure: p
title: t
unit: mm
instruments: {indicator: {resolution: 0.001, error: 0.003}, micrometer: {resolution: 0.001, error: 0.002}}
measure: {g: {title: gap, instrument: indicator}}
gap: g
allow: {play: {min: 0.080, max: 0.160}}
parts: kit
choose: {method: middle, measured_with: micrometer}
verify: {measure: {e: {title: end play, instrument: indicator}}, play: e}
`

// budgetsOf are the names of all budgets.
func budgetsOf(e Evaluation) string {
	var of []string
	for _, b := range e.Budgets {
		of = append(of, b.Of)
	}
	return strings.Join(of, ", ")
}

// TestPredictedIsOfTheFittedPart: 1.500 of +-0.004 is recommended for a gap of 1.620, and
// leaves 0.120. With 1.450 of +-0.040 the play is 0.170: outside by its nominal thickness,
// but with a standard uncertainty of 0.040/sqrt(3) = 0.0231 of the part. Measured, it is
// known as well as the micrometer knows it, 0.002/sqrt(3) = 0.00115.
func TestPredictedIsOfTheFittedPart(t *testing.T) {
	measured := mm("1.470")
	for _, c := range []struct {
		name    string
		fitted  []procedure.Fitted
		budgets string
		part    string // its contribution, in micrometres
		play    string
	}{
		{"none", nil, "gap, play with close", "2.31", ""},
		{"recommended", []procedure.Fitted{{Part: "close"}}, "gap, play with close", "2.31", "0.120"},
		{"another", []procedure.Fitted{{Part: "wide"}}, "gap, play with wide", "23.1", "0.170"},
		{"another, measured", []procedure.Fitted{{Part: "wide", Thickness: &measured}}, "gap, play with wide", "1.15", "0.150"},
	} {
		j := startRounds(t, gapOfTwoKinds, twoKinds).read("g", "1.620").fit(c.fitted...)
		e := j.come()
		if e.Recommended() != "close" || budgetsOf(e) != c.budgets {
			t.Errorf("%s: recommended %s, budgets %s", c.name, e.Recommended(), budgetsOf(e))
			continue
		}
		part := ""
		for _, x := range e.Budgets[len(e.Budgets)-1].Contributions {
			if strings.HasPrefix(x.Source, "wide: ") || strings.HasPrefix(x.Source, "close: ") || x.Source == "part: error of the gauge" {
				part = strings.TrimSpace(x.Standard.Text(gauge.Micrometre, 2))
			}
		}
		if !strings.HasPrefix(part, c.part) {
			t.Errorf("%s: the part adds %q um, want %s", c.name, part, c.part)
		}
		switch p := e.Predicted; {
		case c.play == "" && p != nil || c.play != "" && (p == nil || p.Play != mm(c.play) || p.Probability == nil):
			t.Errorf("%s: predicted %+v", c.name, p)
		case p == nil:
		case c.name == "recommended" && *p.Probability != *e.Choice.Probability:
			t.Errorf("%s: %v and %v", c.name, *p.Probability, *e.Choice.Probability)
		case c.name == "another" && *p.Probability > 4500:
			t.Errorf("%s: inside with %v", c.name, *p.Probability)
		}
		told, err := Foretell(j.p, j.parts, j.in, procedure.Fitted{Part: "wide", Thickness: &measured})
		if err != nil || len(c.fitted) == 1 && c.fitted[0].Thickness != nil && (*told.Probability != *e.Predicted.Probability || *told.Play != e.Predicted.Play) {
			t.Errorf("%s: foretold %+v, then %+v, %v", c.name, told, e.Predicted, err)
		}
	}
}

// TestForeseenIsOfTheFittedPart: what may become of the recommended part is no longer said
// where another one is in, and what may become of that one is.
func TestForeseenIsOfTheFittedPart(t *testing.T) {
	const kit = `family: kit
title: t
unit: mm
grades: [{part: close, thickness: 1.465, tolerance: 0.001}, {part: wide, thickness: 1.510, tolerance: 0.045}]
`
	j := startRounds(t, gapOfTwoKinds, kit).read("g", "1.620")
	if e := j.come(); e.Recommended() != "wide" || findingOf(e, FindingWorst) == "" || findingOf(e, FindingUnlikely) == "" {
		t.Fatalf("%s: %s", e.Recommended(), findingsText(e))
	}
	e := j.fit(procedure.Fitted{Part: "close"}).come()
	if findingOf(e, FindingWorst) != "" || findingOf(e, FindingUnlikely) != "" || findingOf(e, FindingOtherPart) == "" {
		t.Errorf("with another part: %s", findingsText(e))
	}
}

// TestAJobOfBeforeIsEvaluatedAsBefore: its stored verdicts come out again byte by byte.
func TestAJobOfBeforeIsEvaluatedAsBefore(t *testing.T) {
	j := startRounds(t, gapOfTwoKinds, twoKinds).read("g", "1.620").fit(procedure.Fitted{Part: "wide"})
	j.in.Earlier = true
	if e := j.come(); budgetsOf(e) != "gap, play with close" || e.Predicted != nil {
		t.Errorf("budgets %s, predicted %+v", budgetsOf(e), e.Predicted)
	}
}
