package evaluate

import (
	"math"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// bending is an invented procedure: a result that is no straight line in what is
// measured with two gauges and a protractor.
const bending = `procedure: bending
title: Bending
unit: mm
instruments:
  one: {error: 0.006}
  two: {error: 0.006}
  protractor: {unit: deg, error: 2}
measure:
  a: {title: a, instrument: one}
  b: {title: b, instrument: two}
  tilt: {title: tilt, unit: deg, instrument: protractor}
constants: {bar: 100, one: 1}
values: {between: a - b}
gap: FORMULA
allow: {result: {LIMITS}}
`

// TestBends: where a formula is no straight line within the uncertainty, the
// probability is that of the formula. Each is known: errors are even within 6 um,
// 2 degrees.
func TestBends(t *testing.T) {
	for _, c := range []struct {
		name, formula, limits, readings string
		want                            float64
		counts                          bool
		nought                          bool
	}{
		// 100 - 100 cos(d) is at most 0.05 as long as d is within 1.8121 degrees, of 2.
		{"a cosine at nought", "bar * cos(tilt)", "min: 99.95", "tilt 0", 0.90606, true, true},
		// |d| is within 3 of 6 um.
		{"an absolute value at nought", "abs(a - one)", "max: 0.003", "a 1", 0.5, true, false},
		// Both must be within it, each with 3/4.
		{"the larger of two alike", "largest(a, b)", "max: 10.003", "a 10, b 10", 0.5625, true, false},
		{"the smaller of two alike, through a value", "smallest(b + between, b)", "max: 10.003", "a 10, b 10", 1 - 0.0625, true, false},
		{"the larger of two apart", "largest(a, b)", "max: 10.003", "a 10, b 9.9", 0.75, false, false},
		// P(|xy| <= q) = q (1 - ln q) of two even within one, one half on each side.
		{"a product around nought", "(a - one) * (b - one) * 1000 / one", "max: 0.018", "a 1, b 1", 0.5 + 0.5*0.5*(1+math.Ln2), true, true},
		{"a product far from nought", "a * b / bar", "max: 1.0003", "a 10, b 10", 0, false, false},
		{"a root near nought", "sqrt((a - one) * bar)", "max: 0.9", "a 1.006", 0.5 + 0.5*(0.0081/0.006-1), true, false},
	} {
		text := strings.NewReplacer("FORMULA", c.formula, "LIMITS", c.limits).Replace(bending)
		readings := c.readings
		for _, other := range []string{"a 10", "b 10", "tilt 0"} {
			if name, _, _ := strings.Cut(other, " "); !strings.Contains(", "+readings, ", "+name+" ") {
				readings += ", " + other
			}
		}
		e := evaluateText(t, text, readings)
		p := e.Judgements[0].Probability.Float()
		if c.want > 0 && math.Abs(p-c.want) > 4*math.Sqrt(c.want*(1-c.want)/200_000)+5e-5 {
			t.Errorf("%s: probability %.4f, want %.4f", c.name, p, c.want)
		}
		s := e.Budgets[0].Simulated
		said := findingOf(e, FindingMonteCarlo)
		if (s != nil && s.Counts && strings.Contains(said, "through the formula")) != c.counts || strings.Contains(said, "slope there is zero") != c.nought {
			t.Errorf("%s: simulated %+v, %q", c.name, s, said)
		}
		if e.Outcome == Conforms && p < 0.95 || e.Outcome == DoesNotConform && p > 0.05 {
			t.Errorf("%s: %s with %.4f", c.name, e.Outcome, p)
		}
	}
}

// TestStraightEnough: a formula that bends by little is compared with a run where
// its inputs reach far, and the budget stands.
func TestStraightEnough(t *testing.T) {
	text := strings.NewReplacer("FORMULA", "bar * sin(tilt)", "LIMITS", "min: 40", "error: 2", "calibration: {uncertainty: 4, k: 2}").Replace(bending)
	e := evaluateText(t, text, "a 10, b 10, tilt 30")
	s := e.Budgets[0].Simulated
	if s == nil || s.Counts || findingOf(e, FindingMonteCarlo) != "" {
		t.Errorf("simulated %+v, %q", s, findingOf(e, FindingMonteCarlo))
	}
}

// TestBentGap: the probability of a grade is that of the bent gap and of the
// part's own thickness. The gap is the larger of two alike, each within 6 um; a
// part of 1.550 mm leaves 0.150 mm, of which at most 0.153 is allowed.
func TestBentGap(t *testing.T) {
	text := strings.NewReplacer("FORMULA", "largest(a, b)", "result: {LIMITS}", "play: {min: 0, max: 0.153}").Replace(bending) +
		"parts: rings\nchoose: {method: middle}\n"
	p, err := readProcedure("p.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("rings.yaml", []byte(rings))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{}
	for name, value := range map[string]string{"a": "1.700", "b": "1.700"} {
		in.Readings = append(in.Readings, procedure.Reading{Measurement: name, Value: mm(value), Shown: value, Unit: gauge.Millimetre})
	}
	in.Readings = append(in.Readings, procedure.Reading{Measurement: "tilt", Shown: "0", Unit: gauge.Degree})
	e, err := Evaluate(p, f, in)
	if err != nil {
		t.Fatal(err)
	}
	brief, err := NewBrief().Evaluate(p, f, in)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range e.Candidates {
		if c.Probability == nil || *c.Probability != *brief.Candidates[i].Probability {
			t.Fatalf("%+v, in brief %+v", c, brief.Candidates[i])
		}
		// The part of 1.550 mm is within 10 um either way: the sum of both within 3 um,
		// by summing up over the part.
		want := 0.0
		const cells = 10_000
		for k := range cells {
			part := 10 * (2*(float64(k)+0.5)/cells - 1)
			one := min(max((3+part+6)/12, 0), 1)
			want += one * one / cells
		}
		if got := c.Probability.Float(); c.Part == "R155" && math.Abs(got-want) > 0.005 {
			t.Errorf("%s: %.4f, want %.4f", c.Part, got, want)
		}
	}
}
