package evaluate

import (
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

const interference = `procedure: interference
title: t
unit: in
instruments:
  indicator: {resolution: 0.0005}
measure:
  end_play: {title: end play with the test shim, play: must be felt}
constants: {test_shim: 0.080, pre: 0.002}
thickness: test_shim + end_play + pre
part: made to size
`

// TestNoughtIsNoPlay: a preload is not added to a play that nobody felt.
func TestNoughtIsNoPlay(t *testing.T) {
	const asked = " is no play that can be felt. The parts are tight by an unknown amount. Fit thinner parts until there is play, discard the reading and measure again."
	cases := []struct{ old, new, reading, finding string }{
		{"", "", "0.0000", "end_play: 0.0000 in" + asked},
		{"", "", "-0.0010", "end_play: -0.0010 in" + asked},
		{"", "", "0.0001", ""},
		{"", "", "0.0000..0.0020", "end_play: 0.0000 in" + asked},
		{"play: must", "instrument: indicator, play: must", "0.0005", "end_play: 0.0005 in" + asked},
		{"play: must", "instrument: indicator, play: must", "0.0010", ""},
		{"play: must be felt", "play: {least: 0.004}", "0.0039", "end_play: 0.0039 in" + asked},
		{"play: must be felt", "play: {least: 0.004}", "0.0040", ""},
	}
	for _, c := range cases {
		p, err := readProcedure("p.yaml", []byte(strings.Replace(interference, c.old, c.new, 1)))
		if err != nil {
			t.Fatal(err)
		}
		r, err := p.Typed("end_play", c.reading, gauge.Inch)
		if err != nil {
			t.Fatal(err)
		}
		e, err := Evaluate(p, nil, compute.Input{Readings: []procedure.Reading{r}})
		if err != nil {
			t.Fatal(err)
		}
		outcome := FitPart
		if c.finding != "" {
			outcome = MeasureAgain
		}
		if e.Outcome != outcome || findingsText(e) != c.finding {
			t.Errorf("%s with %q: %s, %s", c.reading, c.new, e.Outcome, findingsText(e))
		}
	}
}

// TestEveryReadingOfAPlayIsFelt: one tight reading asks back, whatever the
// statistic makes of all of them. Numbers ours.
func TestEveryReadingOfAPlayIsFelt(t *testing.T) {
	cases := []struct{ take, readings, tight string }{
		{"mean", "0.00 0.00 0.04", "0.000"},
		{"mean", "-0.02 0.03 0.03", "-0.020"},
		{"largest", "0.00 0.00 0.10", "0.000"},
		{"median", "0.03 0.01 0.03", "0.010"},
		{"mean", "0.02 0.03 0.03", ""},
		{"range", "0.00 0.10 0.00", ""}, // positions of a dial, and the play is between them
		{"range", "0.10 0.10 0.11", "0.010"},
	}
	for _, c := range cases {
		p, err := readProcedure("p.yaml", []byte(`procedure: p
title: t
unit: mm
instruments: {dial: {resolution: 0.01}}
measure: {ep: {title: end play, instrument: dial, repeats: 3, play: must be felt, take: `+c.take+`}}
thickness: 1 + ep + 0.08
part: made to size
`))
		if err != nil {
			t.Fatal(err)
		}
		var in compute.Input
		for text := range strings.FieldsSeq(c.readings) {
			r, err := p.Typed("ep", text, p.Unit)
			if err != nil {
				t.Fatal(err)
			}
			in.Readings = append(in.Readings, r)
		}
		e, err := Evaluate(p, nil, in)
		if err != nil {
			t.Fatal(err)
		}
		asked := e.Outcome == MeasureAgain && strings.Contains(findingsText(e), "ep: "+c.tight+" mm is no play that can be felt")
		if asked != (c.tight != "") {
			t.Errorf("%s of %s: %s, %s", c.take, c.readings, e.Outcome, findingsText(e))
		}
	}
}

// TestDifferenceThatIsNotFeltIsAskedBack: the least that the readings leave
// counts, not the difference of their means. Numbers ours.
func TestDifferenceThatIsNotFeltIsAskedBack(t *testing.T) {
	cases := []struct{ play, pushed, pulled, tight string }{
		{"must be felt", "0.00 0.00", "0.10 0.10", ""},
		{"must be felt", "0.00 0.00", "0.00 0.00", "0.000"},
		{"must be felt", "0.10 0.10", "0.00 0.00", "-0.100"},
		{"must be felt", "0.00 0.01", "0.02 0.06", "0.010"}, // the means are 0.035 apart
		{"must be felt", "0.00 0.00", "0.02 0.02", ""},
		{"{least: 0.05}", "0.00 0.00", "0.04 0.05", "0.040"},
		{"must be felt", "0.00..0.01 0.00..0.01", "0.02..0.03 0.02..0.03", "0.010"},
		{"just taken up", "0.00 0.00", "0.00 0.00", ""},
	}
	for _, c := range cases {
		p, err := readProcedure("p.yaml", []byte(`procedure: p
title: t
unit: mm
instruments: {dial: {resolution: 0.01}}
measure:
  pushed: {title: in, instrument: dial, repeats: 2}
  pulled: {title: out, instrument: dial, repeats: 2}
values: {ep: {value: pulled - pushed, play: `+c.play+`}}
thickness: 1.00 + ep + 0.08
part: made to size
`))
		if err != nil {
			t.Fatal(err)
		}
		var in compute.Input
		for name, texts := range map[string]string{"pushed": c.pushed, "pulled": c.pulled} {
			for text := range strings.FieldsSeq(texts) {
				r, err := p.Typed(name, text, p.Unit)
				if err != nil {
					t.Fatal(err)
				}
				in.Readings = append(in.Readings, r)
			}
		}
		e, err := Evaluate(p, nil, in)
		if err != nil {
			t.Fatal(err)
		}
		asked := e.Outcome == MeasureAgain && strings.Contains(findingsText(e), "ep: "+c.tight+" mm is no play that can be felt")
		if asked != (c.tight != "") || !asked && e.Outcome != FitPart {
			t.Errorf("%+v: %s, %s", c, e.Outcome, findingsText(e))
		}
	}
}

// TestSecondRoundPutsNoPreloadIn: the carrier of the rules, its wanted packs in
// and no play left: the packs that are in are never answered with thicker ones.
func TestSecondRoundPutsNoPreloadIn(t *testing.T) {
	p, family, in := readDir(t, filepath.Join(tradeDir, "carrier-both-sides"))
	first, err := Evaluate(p, family, in)
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]string{"end_play": "0.000", "lash": "0.008", "as_found": "0.008"}
	for i, name := range []string{"left_trial", "right_trial"} {
		said[name] = p.Text(*first.Fits[i].Aim)
	}
	if said["left_trial"] != "0.1180" || said["right_trial"] != "0.1440" {
		t.Fatalf("the first round asks for %s and %s", said["left_trial"], said["right_trial"])
	}
	var second []procedure.Reading
	for _, r := range in.Readings {
		if value, ok := said[r.Measurement]; ok {
			if r, err = p.Typed(r.Measurement, value, gauge.Inch); err != nil {
				t.Fatal(err)
			}
		}
		second = append(second, r)
	}
	e, err := Evaluate(p, family, compute.Input{Readings: second})
	if err != nil || e.Outcome != MeasureAgain || e.Findings[0].Code != FindingUnfelt {
		t.Errorf("%s, %v, %v", e.Outcome, e.Findings, err)
	}
}
