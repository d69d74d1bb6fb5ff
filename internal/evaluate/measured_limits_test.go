package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
)

const asFound = `procedure: p
title: t
unit: in
instruments: {indicator: {error: 0.0004, varies: 0}, other: {error: 0.0004, varies: 0}}
measure:
  gears: {title: gears, one_of: [used, new]}
  as_found: {title: backlash as found, instrument: indicator, when: {gears: used}}
  gap: {title: gap, instrument: indicator}
gap: gap
allow: {play: {min: 0.001, max: 0.003}}
part: made to size
choose: {method: middle}
verify:
  measure: {lash: {title: backlash, instrument: GAUGE}}
  judge: {lash: {min: as_found - 0.001, max: as_found + 0.001}}
`

// TestProofAgainstAsFound: used gears get back the lash that they came with. Of
// one gauge the error is in both and cancels; of two it counts twice.
func TestProofAgainstAsFound(t *testing.T) {
	run := func(gauge, readings string) Evaluation {
		p, err := readProcedure("p.yaml", []byte(strings.Replace(asFound, "GAUGE", gauge, 1)))
		if err != nil {
			t.Fatal(err)
		}
		in := compute.Input{Fitted: []procedure.Fitted{{Part: "shim", Thickness: new(mm("1.5"))}}}
		for pair := range strings.SplitSeq(readings, ", ") {
			name, value, _ := strings.Cut(pair, " ")
			r, err := p.Typed(name, value, typedIn(p, name))
			if err != nil {
				t.Fatal(err)
			}
			in.Readings = append(in.Readings, r)
		}
		e, err := Evaluate(p, nil, in)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	for _, c := range []struct {
		gauge, lash string
		outcome     Outcome
		least, most Probability
	}{
		{"indicator", "0.0060", Conforms, 10_000, 10_000},
		{"indicator", "0.0069", Conforms, 9_900, 10_000}, // the error is in both
		{"indicator", "0.0072", DoesNotConform, 0, 0},
		// Two rectangles of 0.0004 either way make a triangle of 0.0008: 0.0001 from
		// the limit is inside with 1 - (0.0007/0.0008)^2/2 = 61.7 %; as a normal
		// distribution has it, 62.0 %.
		{"other", "0.0069", Undecided, 6_000, 6_400},
	} {
		e := run(c.gauge, "gears used, as_found 0.0060, gap 0.1000, lash "+c.lash)
		j := e.Judgements[0]
		if e.Outcome != c.outcome || j.Probability == nil || *j.Probability < c.least || *j.Probability > c.most {
			t.Errorf("%s %s: %s with %v", c.gauge, c.lash, e.Outcome, j.Probability)
		}
	}
	e := run("indicator", "gears new, gap 0.1000, lash 0.0060")
	if want := "lash is 0.0060 in and cannot be judged. Its limits need as_found, which was not measured in this case."; e.Outcome != Undecided || findingOf(e, FindingUnjudged) != want {
		t.Errorf("%s %+v", e.Outcome, e.Findings)
	}
}

// TestTheDifferenceDecides: where limits follow from a measurement, what is shown is
// the uncertainty of the difference, and no simulation of the result alone is said to
// decide. Numbers ours.
func TestTheDifferenceDecides(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(strings.Replace(asFound, "GAUGE", "other", 1)))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{Fitted: []procedure.Fitted{{Part: "shim", Thickness: new(mm("1.5"))}}}
	for name, value := range map[string]string{"gears": "used", "as_found": "0.0060", "gap": "0.1000", "lash": "0.0069"} {
		r, err := p.Typed(name, value, typedIn(p, name))
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := Evaluate(p, nil, in)
	if err != nil {
		t.Fatal(err)
	}
	budgets := map[string]doubt.Budget{}
	for _, b := range e.Budgets {
		if budgets[b.Of] = b; b.Simulated != nil {
			t.Errorf("%s: %+v", b.Of, b.Simulated)
		}
	}
	for _, of := range []string{"lash less its lower limit", "lash less its upper limit"} {
		// Two rectangles of 0.0004 in either way: 0.0004*sqrt(2/3) = 0.000327 in.
		if b := budgets[of]; len(b.Contributions) != 2 || b.Standard.Text(b.Unit, 6) != "0.000327" {
			t.Errorf("%s: %+v", of, b)
		}
	}
	if got := findingOf(e, FindingMonteCarlo); got != "" {
		t.Error(got)
	}
	if e.Outcome != Undecided {
		t.Error(e.Outcome)
	}
}
