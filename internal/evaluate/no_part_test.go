package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestNoPartAtAll: where it is allowed, a thickness of nought is an answer, and
// not a fault of the measurement.
func TestNoPartAtAll(t *testing.T) {
	const kit = "0.10 0.20 0.30"
	cases := []struct {
		name, lines, reading string
		outcome              Outcome
		part                 string
	}{
		{"not allowed", "thickness: g\nwithin: 0.02", "0.00", MeasureAgain, ""},
		{"nought", "thickness: g\nchoose: {method: nearest, none: allowed}", "0.00", FitPart, "none"},
		{"nearer to none", "thickness: g\nchoose: {method: nearest, none: allowed}", "0.04", FitPart, "none"},
		{"nearer to the thinnest", "thickness: g\nchoose: {method: nearest, none: allowed}", "0.06", FitPart, "s0.10"},
		{"a little below nought, within", "thickness: g\nwithin: 0.02\nchoose: {method: nearest, none: allowed}", "-0.02", FitPart, "none"},
		{"below nought", "thickness: g\nwithin: 0.02\nchoose: {method: nearest, none: allowed}", "-0.03", MeasureAgain, ""},
		{"below nought without within", "thickness: g\nchoose: {method: nearest, none: allowed}", "-0.01", MeasureAgain, ""},
		{"next thinner", "thickness: g\nchoose: {method: next thinner, none: allowed}", "0.09", FitPart, "none"},
		{"next thicker", "thickness: g\nchoose: {method: next thicker, none: allowed}", "0.01", FitPart, "s0.10"},
		{"a gap that is the play", "gap: g\nallow: {play: {min: 0.10, max: 0.15}}\nchoose: {method: middle, none: allowed}", "0.12", FitPart, "none"},
		{"a gap that just is the play", "gap: g\nallow: {play: {min: 0.10, max: 0.15}}\nchoose: {method: middle, none: allowed}", "0.10", FitPart, "none"},
		{"a gap below the play", "gap: g\nallow: {play: {min: 0.10, max: 0.15}}\nchoose: {method: middle, none: allowed}", "0.09", MeasureAgain, ""},
		{"a gap with a part", "gap: g\nallow: {play: {min: 0.10, max: 0.15}}\nchoose: {method: middle, none: allowed}", "0.22", FitPart, "s0.10"},
		{"a pack", "gap: g\nallow: {play: {min: 0.10, max: 0.15}}\nchoose: {method: middle, none: allowed, pack: {}}", "0.12", FitPart, "none"},
		{"a pack of pieces", "gap: g\nallow: {play: {min: 0.10, max: 0.15}}\nchoose: {method: middle, none: allowed, pack: {}}", "0.52", FitPart, "s0.20 + s0.20"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := packFor(t, c.lines, c.reading, kit)
			if e.Outcome != c.outcome || e.Recommended() != c.part {
				t.Errorf("%s, %q, %s; want %s, %q", e.Outcome, e.Recommended(), findingsText(e), c.outcome, c.part)
			}
			if c.part == procedure.NoPart && (*e.Choice.Thickness != 0 || e.Gap != nil && *e.Choice.Play != *e.Gap) {
				t.Errorf("%+v", e.Choice)
			}
		})
	}
	for thickness, want := range map[string]string{"0.004": "none", "0.006": "", "0.00": "none"} {
		e := evaluateText(t, "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: g}}\nthickness: g\npart: made to size\nchoose: {method: nearest, step: 0.01, none: allowed}\n", "g "+thickness)
		if e.Outcome != FitPart || e.Recommended() != want {
			t.Errorf("%s: %s, %q", thickness, e.Outcome, e.Recommended())
		}
	}
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: g}}\nthickness: g\nparts: kit\nchoose: {method: nearest, none: allowed}\n"))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(kitText(kit)))
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Typed("g", "0.00", p.Unit)
	if err != nil {
		t.Fatal(err)
	}
	e, err := Evaluate(p, f, compute.Input{Readings: []procedure.Reading{r}, Fitted: []procedure.Fitted{{Part: procedure.NoPart}}})
	if err != nil || e.Outcome != VerifyFit || *e.Fitted.Thickness != 0 || len(e.Findings) != 0 {
		t.Errorf("%s, %+v, %v", e.Outcome, e.Fitted, err)
	}
}

// TestTableAnswersWithoutAPart: a row may say that nothing lies there, or that the
// play is accepted as it is.
func TestTableAnswersWithoutAPart(t *testing.T) {
	table := kitOf("row_step: 0.01", "grades:", "  - {part: as it is, serves: {max: 0.10}}", "  - {part: none, serves: {min: 0.11, max: 0.20}}", "  - {part: a, thickness: 0.30, serves: {min: 0.21, max: 0.60}}")
	cases := []struct {
		reading string
		outcome Outcome
		part    string
		finding string
	}{
		{"0.10", Conforms, "as it is", "The table gives it for gaps of at most 0.100 mm. Nothing is fitted."},
		{"0.11", FitPart, "none", ""},
		{"0.50", FitPart, "a", ""},
	}
	for _, c := range cases {
		e := familyFor(t, "gap: g\nchoose: {method: table}", c.reading, table)
		if e.Outcome != c.outcome || choiceOf(e) != c.part || findingsText(e) != c.finding || e.Kept != (c.part == procedure.AsItIs) {
			t.Errorf("%s: %s, %s, %s", c.reading, e.Outcome, choiceOf(e), findingsText(e))
		}
	}
	_, err := procedure.ReadFamily("f.yaml", []byte(strings.Replace(table, "as it is, serves", "as it is, thickness: 0.1, serves", 1)))
	checkError(t, err, `f.yaml:6:5: "as it is" stands in a table where nothing is fitted: say only what it serves`)
}

// TestAddedAfterTheProof: a fixed amount follows the proof, and only it.
func TestAddedAfterTheProof(t *testing.T) {
	const lines = "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\ngap: g\nallow: {play: {min: 0, max: 0.05}}\nparts: kit\nchoose: {method: thickest}\nadd_after_proof: ADD\nverify: {measure: {play: {title: play}}, play: play}\n"
	cases := []struct{ add, play, want, part string }{
		{"0.10", "0.02", "The proof is good. Now add 0.100 mm, which makes 1.100 mm, s1.10 of 1.100 mm.", "s1.10"},
		{"0.07", "0.02", "The proof is good. Now add 0.070 mm, which makes 1.070 mm.", ""},
		{"-0.10", "0.02", "The proof is good. Now take away 0.100 mm, which makes 0.900 mm, s0.90 of 0.900 mm.", "s0.90"},
		{"0.10", "0.09", "", ""},
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(kitText("0.90 1.00 1.10")))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		p, err := readProcedure("p.yaml", []byte(strings.Replace(lines, "ADD", c.add, 1)))
		if err != nil {
			t.Fatal(err)
		}
		in := compute.Input{Fitted: []procedure.Fitted{{Part: "s1.00"}}}
		for _, r := range [][2]string{{"g", "1.02"}, {"play", c.play}} {
			read, err := p.Typed(r[0], r[1], p.Unit)
			if err != nil {
				t.Fatal(err)
			}
			in.Readings = append(in.Readings, read)
		}
		e, err := Evaluate(p, f, in)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, finding := range e.Findings {
			if finding.Code == FindingAddNow {
				said = inEnglish(finding.Says)
			}
		}
		if said != c.want || (e.Final == nil) != (c.want == "") || e.Final != nil && e.Final.Part != c.part {
			t.Errorf("%s after %s: %s, %q, %+v", c.add, c.play, e.Outcome, said, e.Final)
		}
	}
	_, err = readProcedure("p.yaml", []byte(strings.Replace(strings.Replace(lines, "ADD", "0.10", 1), "verify: {measure: {play: {title: play}}, play: play}\n", "", 1)))
	checkError(t, err, "p.yaml:9:18: there is no proof to add it after: give verify")
}

// TestNegativeThicknessIsNone: a swapped sign is measured again whatever within
// says, and is no question of feelers.
func TestNegativeThicknessIsNone(t *testing.T) {
	for _, lines := range []string{"parts: kit\nwithin: 0.05", "parts: kit\nwithin: 0.05\nchoose: {method: nearest, pack: {most: 4}}", "part: made to size\nwithin: 0.05"} {
		for _, wanted := range []string{"-0.180", "-0.030", "0"} {
			e := evaluateWith(t, "thickness: g\n"+lines, wanted, kitText("0.10 0.20"))
			if e.Outcome != MeasureAgain || len(e.Findings) != 1 || !strings.HasPrefix(inEnglish(e.Findings[0].Says), "A thickness of ") || !strings.Contains(inEnglish(e.Findings[0].Says), " is impossible. ") {
				t.Errorf("%s, %q: %s, %s", wanted, lines, e.Outcome, findingsText(e))
			}
		}
	}
}
