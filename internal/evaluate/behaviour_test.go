package evaluate

import (
	"encoding/json"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// ring is an invented procedure: a ring sets the end play of a shaft.
const ring = `procedure: ring
title: Ring for end play
unit: mm
measure:
  depth: {title: depth to the bearing, repeats: 3, agree: 0.03, plausible: {min: 20, max: 30}}
  height: {title: height of the shoulder}
constants:
  gasket: {value: 0.30, title: gasket pressed}
gap: depth - height + gasket
allow: {play: {min: 0.10, max: 0.20}}
parts: rings
choose: {method: middle}
verify:
  measure:
    end_play: {title: end play, repeats: 2, agree: 0.02, plausible: {min: 0, max: 2}}
  play: end_play
  predicted_within: 0.04
`

const rings = `family: rings
title: Rings
unit: mm
grades:
  - {part: R150, mark: A, thickness: 1.50}
  - {part: R155, mark: B, thickness: 1.55, tolerance: 0.01}
  - {part: R160, mark: C, thickness: 1.60, stock: 3}
  - {part: R165, mark: D, thickness: 1.65}
`

// bench evaluates an edited copy of ring with edited rings. readings is
// "name value" pairs joined by commas; a value may end in !REASON (discarded).
type bench struct {
	procedure, family []string // old, new pairs
	readings          string
	fitted            *procedure.Fitted
}

func (b bench) run(t *testing.T) Evaluation {
	t.Helper()
	p, err := readProcedure("ring.yaml", []byte(strings.NewReplacer(b.procedure...).Replace(ring)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("rings.yaml", []byte(strings.NewReplacer(b.family...).Replace(rings)))
	if err != nil {
		t.Fatal(err)
	}
	var in compute.Input
	if b.fitted != nil {
		in.Fitted = []procedure.Fitted{*b.fitted}
	}
	for pair := range strings.SplitSeq(b.readings, ", ") {
		name, value, _ := strings.Cut(pair, " ")
		value, reason, _ := strings.Cut(value, "!")
		in.Readings = append(in.Readings, procedure.Reading{
			Measurement: name, Shown: value, Unit: gauge.Millimetre,
			Value: mm(value), Discarded: reason,
		})
	}
	e, err := Evaluate(p, f, in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func mm(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }

// measured gives a gap of 1.735 mm: window 1.535 to 1.635, middle 1.585.
const measured = "depth 25.430, depth 25.440, depth 25.435, height 24.000"

func TestOutcomes(t *testing.T) {
	cases := []struct {
		name    string
		bench   bench
		outcome Outcome
		choice  string
		finding string // exact text of the only finding; empty: none
	}{
		{"nothing yet", bench{readings: "height 24.000"}, Measuring, "", ""},
		{"too few repeats", bench{readings: "depth 25.43, depth 25.43, height 24"}, Measuring, "", ""},
		{"chosen", bench{readings: measured}, FitPart, "R160", ""},
		{"discarded does not count", bench{readings: measured + ", depth 25.9!slipped"}, FitPart, "R160", ""},
		{
			"disagree",
			bench{readings: "depth 25.430, depth 25.470, depth 25.435, height 24"},
			MeasureAgain, "",
			"depth: the readings differ by 0.040 mm, allowed is 0.030 mm. Clean and seat the parts and read again. Discard the wrong reading and give the reason.",
		},
		{
			"implausible",
			bench{readings: "depth 2.543"},
			MeasureAgain, "",
			"depth: 2.543 mm is not plausible, 20.000 to 30.000 mm is expected. Check the zero of the gauge, its unit and the measured faces. Then discard the reading with the reason and measure again.",
		},
		{
			"impossible, never a negative shim",
			bench{readings: "depth 25, depth 25, depth 25, height 25.200"},
			MeasureAgain, "",
			"A gap of 0.100 mm leaves no room for any part; allowed is play 0.100 to 0.200 mm. Clean, seat and rotate the parts. Check the zero and the sign of each reading, and measure again.",
		},
		{
			"out of stock is skipped and said",
			bench{readings: measured, family: []string{"stock: 3", "stock: 0"}},
			FitPart, "R155",
			"R160 (marked C) of 1.600 mm is nearer to the target, but is out of stock. R155 is the next that fits.",
		},
		{
			"nothing fits",
			bench{readings: "depth 25, depth 25, depth 25, height 23.450"},
			NothingFits, "",
			"No available grade is 1.650 to 1.750 mm thick. The next thinner is R160 (marked C) of 1.600 mm. It would give play 0.250 mm. Check the measured faces, the sum and the part family. Then measure again, or order the part.",
		},
		{"thickest", bench{readings: measured, procedure: []string{"method: middle", "method: thickest"}}, FitPart, "R160", ""},
		{"thinnest", bench{readings: measured, procedure: []string{"method: middle", "method: thinnest"}}, FitPart, "R155", ""},
		{"stated play", bench{readings: measured, procedure: []string{"method: middle", "aim: {play: 0.19}"}}, FitPart, "R155", ""},
		{"tie thinner", bench{readings: "depth 25, depth 25, depth 25, height 23.575"}, FitPart, "R155", ""},
		{"tie thicker", bench{readings: "depth 25, depth 25, depth 25, height 23.575", procedure: []string{"method: middle", "method: middle, tie: thicker"}}, FitPart, "R160", ""},
		{"at the border inside", bench{readings: "depth 25, depth 25, depth 25, height 23.55", procedure: []string{"method: middle", "method: thickest"}}, FitPart, "R165", ""},
		{"at the border outside", bench{readings: "depth 25, depth 25, depth 25, height 23.55", procedure: []string{"method: middle", "method: thickest, at_limit: does not fit"}}, FitPart, "R160", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if c.name == "nothing fits" { // the next thicker exists only with this edit
				c.bench.family = []string{"  - {part: R165, mark: D, thickness: 1.65}\n", ""}
			}
			e := c.bench.run(t)
			if e.Outcome != c.outcome || choiceOf(e) != c.choice {
				t.Errorf("outcome %q with %q, want %q with %q", e.Outcome, choiceOf(e), c.outcome, c.choice)
			}
			checkFinding(t, e, c.finding)
		})
	}
}

func TestNothingFitsNamesBothSides(t *testing.T) {
	e := bench{readings: measured, family: []string{
		"  - {part: R155, mark: B, thickness: 1.55, tolerance: 0.01}\n", "",
		"thickness: 1.60, stock: 3", "thickness: 1.64",
	}}.run(t)
	if e.Outcome != NothingFits || e.Thinner.Part != "R150" || e.Thicker.Part != "R160" {
		t.Fatalf("outcome %s, neighbours %+v, %+v", e.Outcome, e.Thinner, e.Thicker)
	}
	if *e.Thinner.Play != mm("0.235") || *e.Thicker.Play != mm("0.095") {
		t.Errorf("plays %v and %v", *e.Thinner.Play, *e.Thicker.Play)
	}
	if !strings.Contains(inEnglish(e.Findings[0].Says), " The next thinner is R150 (marked A) of 1.500 mm. It would give play 0.235 mm. The next thicker is R160 (marked C) of 1.640 mm. It would give play 0.095 mm. Check") {
		t.Errorf("finding %q", inEnglish(e.Findings[0].Says))
	}
}

func TestPreloadKeepsItsSign(t *testing.T) {
	e := bench{
		readings:  measured,
		procedure: []string{"allow: {play: {min: 0.10, max: 0.20}}", "allow: {preload: {min: 0.02, max: 0.06}}", "gap: depth - height + gasket", "gap: depth - height + gasket - 0.2"},
		fitted:    &procedure.Fitted{Part: "R160"},
	}.run(t)
	if *e.Window.Min != mm("1.555") || *e.Window.Max != mm("1.595") {
		t.Errorf("window %d to %d", *e.Window.Min, *e.Window.Max)
	}
	// R160 gives 1.535 - 1.600 = -0.065: a preload of 0.065, above 0.06.
	if len(e.Findings) != 2 || inEnglish(e.Findings[1].Says) != "With R160 of 1.600 mm the sum predicts preload 0.065 mm, allowed is preload 0.020 to 0.060 mm." {
		t.Errorf("findings %+v", e.Findings)
	}
}

func TestVerification(t *testing.T) {
	thin := mm("1.57")
	cases := []struct {
		name     string
		fitted   procedure.Fitted
		readings string
		outcome  Outcome
		finding  string
	}{
		{"waits for readings", procedure.Fitted{Part: "R160"}, "", VerifyFit, ""},
		{"conforms", procedure.Fitted{Part: "R160"}, ", end_play 0.14, end_play 0.13", Conforms, ""},
		{"at the limit", procedure.Fitted{Part: "R160"}, ", end_play 0.10, end_play 0.10", Conforms, ""},
		{"proof disagrees", procedure.Fitted{Part: "R160"}, ", end_play 0.10, end_play 0.15", MeasureAgain, "end_play: the readings differ by 0.050 mm, allowed is 0.020 mm. Clean and seat the parts and read again. Discard the wrong reading and give the reason."},
		{"outside", procedure.Fitted{Part: "R160"}, ", end_play 0.09, end_play 0.10", DoesNotConform, "The play is 0.095 mm, allowed is 0.100 to 0.200 mm."},
		{"not as predicted", procedure.Fitted{Part: "R160"}, ", end_play 0.19, end_play 0.19", Conforms, "Measured is play 0.190 mm, predicted was play 0.135 mm. They differ by 0.055 mm; allowed is 0.040 mm. R155 (marked B) of 1.550 mm instead of R160 would explain it. Otherwise look for a wrong or dirty part, a part that is not seated, a wrong sign, or a gauge that has moved."},
		{"another part", procedure.Fitted{Part: "R155"}, ", end_play 0.19, end_play 0.19", Conforms, "R155 was fitted, recommended was R160."},
		{"measured thickness counts", procedure.Fitted{Part: "R160", Thickness: &thin}, ", end_play 0.16, end_play 0.17", Conforms, "R160 measures 1.570 mm, which is nearer to R155 (marked B) of 1.550 mm. Check that it is the right part, clean and free of burrs."},
		{"unknown part", procedure.Fitted{Part: "X1"}, ", end_play 0.16, end_play 0.17", Conforms, "X1 is not in the part family rings. Read the number again."},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := bench{readings: measured + c.readings, fitted: &c.fitted}.run(t)
			if e.Outcome != c.outcome {
				t.Errorf("outcome %q, want %q", e.Outcome, c.outcome)
			}
			checkFinding(t, e, c.finding)
		})
	}
}

func TestMeasuredThicknessOffItsGrade(t *testing.T) {
	thick := mm("1.57")
	e := bench{readings: measured, fitted: &procedure.Fitted{Part: "R155", Thickness: &thick}}.run(t)
	if len(e.Findings) != 2 || inEnglish(e.Findings[1].Says) != "R155 measures 1.570 mm but should be 1.550 mm within 0.010 mm. Check that it is the right part, clean and free of burrs." {
		t.Errorf("findings %+v", e.Findings)
	}
}

func TestPlainSumIsWritten(t *testing.T) {
	e := bench{readings: strings.Replace(measured, "25.430", "25.431", 1)}.run(t)
	want := Sum{Name: "gap", Expression: "depth - height + gasket", Worked: "25.4353 - 24.000 + 0.300", Value: mm("1.735333333"), Unit: gauge.Millimetre}
	if got := e.Sums[0]; got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// TestEqualFactsGiveEqualBytes: the history keeps evaluations as JSON and
// replays them byte for byte.
func TestEqualFactsGiveEqualBytes(t *testing.T) {
	b := bench{readings: measured + ", end_play 0.14, end_play 0.13", fitted: &procedure.Fitted{Part: "R160"}}
	first, err := json.Marshal(b.run(t))
	if err != nil {
		t.Fatal(err)
	}
	for range 20 {
		again, err := json.Marshal(b.run(t))
		if err != nil {
			t.Fatal(err)
		}
		if string(again) != string(first) {
			t.Fatalf("got\n%s\nthen\n%s", first, again)
		}
	}
}

func choiceOf(e Evaluation) string {
	if e.Choice == nil {
		return ""
	}
	return e.Choice.Part
}

func checkFinding(t *testing.T, e Evaluation, want string) {
	t.Helper()
	if text := findingsText(e); text != want {
		t.Errorf("findings\n%s\nwant\n%s", text, want)
	}
}
