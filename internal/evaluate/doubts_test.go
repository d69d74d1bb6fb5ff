package evaluate

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// evaluateText evaluates readings, "name value" pairs joined by commas, under a
// procedure that chooses from no family.
func evaluateText(t *testing.T, written, readings string) Evaluation {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte(written))
	if err != nil {
		t.Fatal(err)
	}
	var in compute.Input
	for pair := range strings.SplitSeq(readings, ", ") {
		if name, value, ok := strings.Cut(pair, " "); ok {
			r, err := p.Typed(name, value, typedIn(p, name))
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
	return e
}

// typedIn is the unit in which a value of a step is typed; a mark has none.
func typedIn(p *procedure.Procedure, name string) gauge.Unit {
	if s, _, _ := p.Step(name); len(s.Codes) == 0 {
		return s.Unit
	}
	return gauge.UnitUnknown
}

// play is an invented procedure: one reading of an indicator is judged.
const play = `procedure: play
title: End play
unit: mm
instruments:
  indicator: {resolution: 0.001, error: 0.004, repeatability: {deviation: 0.002, readings: 21}}
measure:
  end_play: {title: end play, instrument: indicator}
gap: end_play
allow: {result: {min: 0.050, max: 0.150}}
`

func findingOf(e Evaluation, code FindingCode) string {
	for _, f := range e.Findings {
		if f.Code == code {
			return inEnglish(f.Says)
		}
	}
	return ""
}

// TestBudget: a rectangular half-width a gives a/sqrt(3) (JCGM 100:2008, 4.3.7),
// a display step q gives q/sqrt(12) (F.2.2.1), and independent contributions add
// as squares (eq. 10). Rounded to three digits.
func TestBudget(t *testing.T) {
	e := evaluateText(t, play, "end_play 0.100")
	if len(e.Budgets) != 1 {
		t.Fatalf("budgets %+v", e.Budgets)
	}
	b := e.Budgets[0]
	want := map[string]gauge.Length{
		"end_play: repeatability, pooled": mm("0.002"),
		"end_play: resolution":            mm("0.000000289") * 1000,
		"end_play: error of the gauge":    mm("0.00231"),
	}
	for _, c := range b.Contributions {
		if c.Standard != want[c.Source] {
			t.Errorf("%s is %d pm, want %d", c.Source, c.Standard, want[c.Source])
		}
		delete(want, c.Source)
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
	// sqrt(2^2 + 0.2887^2 + 2.3094^2) um = 3.07 um; 20 (3.07/2)^4 = 111 degrees of freedom; t = 1.98.
	if b.Standard != mm("0.00307") || b.Freedom != 110 && b.Freedom != 111 || b.K != gauge.MustLength("1.98", gauge.One) || b.Expanded != mm("0.00608") {
		t.Errorf("got %+v", b)
	}
	if e.Outcome != Conforms || e.Judgements[0].Probability.String() != "100 %" {
		t.Errorf("%s with %v", e.Outcome, e.Judgements[0].Probability)
	}
}

// TestGuardBand: with a standard uncertainty of 3.07 um, a result conforms when
// it is at least 1.66 of it inside a limit (ISO 14253-1, 95 %; t with 111
// degrees of freedom), does not conform as far outside, and is else undecided.
func TestGuardBand(t *testing.T) {
	cases := []struct {
		reading, decide string
		outcome         Outcome
		rule            string
	}{
		{"0.144", "", Conforms, "Guard band"},
		{"0.146", "", Undecided, "Guard band"},
		{"0.150", "", Undecided, "Guard band"},
		{"0.154", "", Undecided, "Guard band"},
		{"0.156", "", DoesNotConform, "Guard band"},
		{"0.150", "decide: simple acceptance\n", Conforms, "Simple acceptance"},
		{"0.151", "decide: simple acceptance\n", DoesNotConform, "Simple acceptance"},
		{"0.144", "decide: {guard band: 0.99}\n", Undecided, "Guard band"},
	}
	for _, c := range cases {
		e := evaluateText(t, play+c.decide, "end_play "+c.reading)
		if e.Outcome != c.outcome || !strings.HasPrefix(inEnglish(e.DecisionRule), c.rule) {
			t.Errorf("%s %s: %s by %q, want %s", c.reading, c.decide, e.Outcome, e.DecisionRule, c.outcome)
		}
	}
	e := evaluateText(t, play, "end_play 0.150")
	want := "The result is 0.150 mm. That is so near to a limit that the measurement uncertainty leaves it open; allowed is 0.050 to 0.150 mm. Measure end_play with a better gauge."
	if got := findingOf(e, FindingNearLimit); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// TestTooNarrow: no value can reach 95 % inside limits that are less than 3.96
// standard uncertainties apart: 2 * 1.98, Student's t with some hundred degrees of
// freedom (JCGM 100, table G.2).
func TestTooNarrow(t *testing.T) {
	narrow := strings.Replace(play, "max: 0.150", "max: 0.060", 1)
	e := evaluateText(t, narrow, "")
	want := "result: The limits are 0.010 mm apart, which is 3.3 times the standard uncertainty of 0.0031 mm. At least 3.96 times are needed before any value can conform. The greatest share is end_play: error of the gauge. At most 0.0026 mm either way would do."
	if got := findingOf(e, FindingTooNarrow); e.Outcome != Undecided || got != want {
		t.Errorf("%s\ngot  %s\nwant %s", e.Outcome, got, want)
	}
	// The gauge that it asks for will do.
	e = evaluateText(t, strings.NewReplacer("error: 0.004", "error: 0.0025").Replace(narrow), "")
	if got := findingOf(e, FindingTooNarrow); e.Outcome != Measuring || got != "" {
		t.Errorf("%s %s", e.Outcome, got)
	}
	// Without a proof after fitting, the prediction must be good enough.
	unproven := strings.NewReplacer("result: {", "play: {", "gap: end_play\n", "gap: end_play\npart: made to size\nchoose: {method: middle}\n").Replace(narrow)
	if e := evaluateText(t, unproven, ""); !strings.HasPrefix(findingOf(e, FindingTooNarrow), "predicted play: The limits are 0.010 mm apart") {
		t.Errorf("%s %+v", e.Outcome, e.Findings)
	}
	if e := evaluateText(t, narrow+"decide: simple acceptance\n", ""); e.Outcome != Measuring {
		t.Errorf("simple acceptance: %s", e.Outcome)
	}
}

// TestSecondOpinion: where one rectangular contribution is nearly all, the
// probability is that of the rectangle: 0.0032 of 0.004 inside the limit leaves
// (0.004 + 0.0032)/0.008 = 90 %.
func TestSecondOpinion(t *testing.T) {
	alone := strings.NewReplacer("resolution: 0.001, ", "", ", repeatability: {deviation: 0.002, readings: 21}", "").Replace(play)
	e := evaluateText(t, alone, "end_play 0.1468")
	p := e.Judgements[0].Probability.Float()
	if math.Abs(p-0.9) > 4*math.Sqrt(0.9*0.1/200_000) {
		t.Errorf("probability %g, want 0.9", p)
	}
	if s := e.Budgets[0].Simulated; s == nil || !s.Counts || s.Draws != 200_000 {
		t.Errorf("simulation %+v", s)
	}
	if !strings.Contains(findingOf(e, FindingMonteCarlo), "rectangular") {
		t.Errorf("findings %+v", e.Findings)
	}
	again := evaluateText(t, alone, "end_play 0.1468")
	if *again.Judgements[0].Probability != *e.Judgements[0].Probability {
		t.Error("the second opinion is not the same twice")
	}
}

// TestUnstated: a guard band that is asked for although a gauge's error is not
// known says what is missing; without being asked for, simple acceptance holds.
func TestUnstated(t *testing.T) {
	unknown := strings.Replace(play, "error: 0.004, ", "", 1)
	if e := evaluateText(t, unknown, "end_play 0.149"); e.Outcome != Conforms || e.DecisionRule.Code != "rule.simple.full" {
		t.Errorf("%s by %s", e.Outcome, e.DecisionRule)
	}
	e := evaluateText(t, unknown+"decide: guard band\n", "end_play 0.100")
	if got := findingOf(e, FindingUnstated); got != "The uncertainty is too small. The error of the gauge for end_play is not stated." {
		t.Errorf("got %s", got)
	}
}

// TestOwnRepeatsOrPooled: few readings take the gauge's usual scatter, five or
// more their own (s/sqrt(n), JCGM 100:2008, 4.2.3).
func TestOwnRepeatsOrPooled(t *testing.T) {
	few := evaluateText(t, play, "end_play 0.100, end_play 0.102")
	many := evaluateText(t, play, "end_play 0.100, end_play 0.102, end_play 0.098, end_play 0.104, end_play 0.096")
	for _, c := range []struct {
		e        Evaluation
		source   string
		standard gauge.Length
		freedom  int
	}{
		{few, "end_play: repeatability, pooled", mm("0.00141"), 20}, // 2/sqrt(2)
		{many, "end_play: repeatability", mm("0.00141"), 4},         // sqrt(10)/sqrt(5)
	} {
		got := c.e.Budgets[0].Contributions[0]
		if got.Source != c.source || got.Standard != c.standard || got.Freedom != c.freedom {
			t.Errorf("got %+v, want %s %d %d", got, c.source, c.standard, c.freedom)
		}
	}
}

// TestCosine: published list of factors of a lever at an angle: 10 deg 0.985,
// 20 deg 0.940, 30 deg 0.866, 45 deg 0.707, 60 deg 0.5 (public workshop guide;
// the values are those of the function, to three decimals).
func TestCosine(t *testing.T) {
	for degrees, want := range map[string]string{"0": "1.000", "10": "0.985", "20": "0.940", "30": "0.866", "45": "0.707", "60": "0.500"} {
		e := evaluateText(t, strings.Replace(play, "instrument: indicator}", "instrument: indicator, angle: "+degrees+"}", 1), "end_play 1.000")
		if got := e.Gap.Text(gauge.Millimetre, 3); got != want {
			t.Errorf("at %s degrees 1.000 is %s, want %s", degrees, got, want)
		}
	}
}

// TestTwentyDegrees: 100 mm of steel, 11.5e-6/K, are 1.15 um longer at 21 degC
// than at 20 degC (coefficient: JCGM 100:2008, H.1.3.3; reference temperature:
// ISO 1), and a scale of the same steel hides it.
func TestTwentyDegrees(t *testing.T) {
	const bar = `procedure: bar
title: Length of a bar
unit: mm
instruments: {scale: {error: 0.001EXPANSION}}
temperature: {is: 21, tolerance: 0.5}
measure:
  bar: {title: bar, instrument: scale, expansion: {value: 11.5, tolerance: 1}}
gap: bar
allow: {result: {min: 99, max: 101}}
`
	warm := evaluateText(t, strings.Replace(bar, "EXPANSION", ", expansion: 0", 1), "bar 100.00115")
	if got := *warm.Gap; got != mm("100")-13 { // to first order: 13 pm are 1.15 um of 1.15 um per 100 mm
		t.Errorf("corrected to %s mm", got.Text(gauge.Millimetre, 9))
	}
	if warm.Sums[0].Worked != "100.0012 * 0.999988500" {
		t.Errorf("worked as %q", warm.Sums[0].Worked)
	}
	same := evaluateText(t, strings.Replace(bar, "EXPANSION", ", expansion: 11.5", 1), "bar 100.00115")
	if *same.Gap != mm("100.00115") {
		t.Errorf("a steel scale gives %s mm", same.Gap.Text(gauge.Millimetre, 9))
	}
	// The temperature counts with 100 mm * 11.5e-6/K * 0.5 K/sqrt(3) = 0.332 um.
	for _, c := range warm.Budgets[0].Contributions {
		if c.Source == "temperature" && c.Standard != 332_000 {
			t.Errorf("the temperature contributes %d pm", c.Standard)
		}
	}
}

// TestExpansionOfTheScaleNotStated: it is one number from 0 to 23e-6/K, whatever the
// scale measures: 100 mm * 11.5e-6/K * 10 K = 11.5 um either way around its middle,
// which is that of the part here, and signed where several lengths are measured.
func TestExpansionOfTheScaleNotStated(t *testing.T) {
	const bar = `procedure: bar
title: Length of a bar
unit: mm
instruments: {scale: {error: 0.001}}
temperature: {is: 30}
measure:
  bar: {title: bar, instrument: scale, expansion: 11.5}
  end: {title: end, instrument: scale, expansion: 23}
judge:
  length: {value: SUM, min: 200.074, max: 200.3}
`
	const source = "expansion of the scale, not stated"
	for _, c := range []struct {
		sum, value, standard string
	}{
		{"bar", "100", "0.00664"},        // 11.5 um / sqrt(3)
		{"end", "100.0885", "0.00665"},   // corrected by 11.5e-6/K less than it is made of
		{"end - bar", "0.0885", "0.000"}, // it cancels but for 0.0001 mm
		{"bar + end", "200.0885", "0.0133"},
	} {
		e := evaluateText(t, strings.Replace(bar, "SUM", c.sum, 1), "bar 100, end 100.1")
		j := e.Judgements[0]
		if got := j.Value.Text(gauge.Millimetre, 4); mm(got) != mm(c.value) {
			t.Errorf("%s is %s, want %s", c.sum, got, c.value)
		}
		found := 0
		for _, b := range e.Budgets[0].Contributions {
			if strings.HasPrefix(b.Source, source) {
				found++
				if off := b.Standard - mm(c.standard); off.Abs() > mm("0.00002") {
					t.Errorf("%s: it contributes %d pm, want %s mm", c.sum, b.Standard, c.standard)
				}
			}
		}
		if found != 1 {
			t.Errorf("%s: %d lines: %+v", c.sum, found, e.Budgets[0].Contributions)
		}
		// Even over 0.023 mm either way of 200.0885: (0.023 + 0.0145)/0.046 = 81.5 %, and a little of the gauge's error.
		if c.sum == "bar + end" && (j.Outcome != Undecided || *j.Probability < 8_100 || *j.Probability > 8_200) {
			t.Errorf("%s with %s", j.Outcome, j.Probability)
		}
		want := "bar: the expansion of the scale of the scale is not stated. It is corrected to 20 °C with 11.5 e-6/K, the middle of 0 to 23. Up to 0.0115 mm either way count as uncertainty. State the expansion of the gauge."
		if len(e.Findings) == 0 || e.Findings[0].Code != FindingUnstated || inEnglish(e.Findings[0].Says) != want {
			t.Errorf("findings %+v", e.Findings)
		}
	}
}

// TestClosingTheLoop: a difference between measured and predicted play that the
// uncertainty of both does not explain is said, with what would explain it.
func TestClosingTheLoop(t *testing.T) {
	known := []string{
		"measure:\n  depth: {title", "instruments: {gauge: {error: 0.003, resolution: 0.001}}\nmeasure:\n  depth: {instrument: gauge, title",
		"height: {title", "height: {instrument: gauge, title", "end_play: {title", "end_play: {instrument: gauge, title",
		"  predicted_within: 0.04\n", "",
	}
	fitted := &procedure.Fitted{Part: "R160"}
	good := bench{procedure: known, readings: measured + ", end_play 0.136, end_play 0.137", fitted: fitted}.run(t)
	if v := good.Verification; v.Uncertainty == nil || v.Agrees == nil || !*v.Agrees || good.Outcome != Conforms {
		t.Errorf("%s: %+v, findings %+v", good.Outcome, v, good.Findings)
	}
	wrong := bench{procedure: known, readings: measured + ", end_play 0.185, end_play 0.186", fitted: fitted}.run(t)
	if got := findingOf(wrong, FindingUnpredicted); !strings.Contains(got, "explained by the uncertainty of both is") || !strings.Contains(got, "R155 (marked B) of 1.550 mm instead of R160 would explain it") {
		t.Errorf("got %q", got)
	}
	left := bench{procedure: known, readings: measured + ", end_play 0.434, end_play 0.436", fitted: fitted}.run(t)
	if got := findingOf(left, FindingUnpredicted); !strings.Contains(got, "gasket left out or counted twice would explain it") {
		t.Errorf("got %q", got)
	}
}

// TestMostProbableGrade: a grade with a loose tolerance may be nearer to the aim
// and yet less probable to end inside the limits.
func TestMostProbableGrade(t *testing.T) {
	known := []string{
		"measure:\n  depth: {title", "instruments: {gauge: {error: 0.003, resolution: 0.001}}\nmeasure:\n  depth: {instrument: gauge, title",
		"height: {title", "height: {instrument: gauge, title", "end_play: {title", "end_play: {instrument: gauge, title",
		"{method: middle}", "{method: METHOD}",
	}
	narrow := []string{"play: {min: 0.10, max: 0.20}", "play: {min: 0.13, max: 0.17}", "predicted_within: 0.04", "predicted_within: 0.04\ndecide: guard band"}
	family := []string{"thickness: 1.55, tolerance: 0.01", "thickness: 1.570, tolerance: 0.005", "thickness: 1.60, stock: 3", "thickness: 1.595, tolerance: 0.024"}
	for aim, want := range map[string]string{"middle": "R160", "likeliest": "R155"} {
		written := slices.Concat(known[:len(known)-1], []string{"{method: " + aim + "}"}, narrow)
		e := bench{procedure: written, family: family, readings: measured}.run(t)
		if e.Choice == nil || e.Choice.Part != want || e.Choice.Probability == nil {
			t.Fatalf("%s: chosen %+v, findings %+v", aim, e.Choice, e.Findings)
		}
		if likelier := findingOf(e, FindingLikelier); (likelier != "") != (aim == "middle") {
			t.Errorf("%s: %s", aim, likelier)
		}
	}
}

// TestEndGauge runs the calibration of an end gauge (JCGM 100:2008, H.1, Table
// H.1) as a procedure file: l = 50.000838 mm, u = 32 nm, 16.7 effective degrees
// of freedom, U99 = 93 nm (92.47 without rounding between).
func TestEndGauge(t *testing.T) {
	p, err := readProcedure("procedure.yaml", read(t, "../../testdata/uncertainty/h1/procedure.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	e, err := Evaluate(p, nil, compute.Input{})
	if err != nil || e.Outcome != Calculated || len(e.Budgets) != 1 {
		t.Fatalf("%s with %d budgets, %v", e.Outcome, len(e.Budgets), err)
	}
	nm := mm("0.000001")
	b := e.Budgets[0]
	if e.Sums[0].Value != mm("50.000838") || b.Standard != 317*nm/10 || b.Freedom != 16 || b.Expanded != 925*nm/10 || b.K != gauge.MustLength("2.92", gauge.One) {
		t.Errorf("length %d pm, budget %+v", e.Sums[0].Value, b)
	}
	want := map[string]gauge.Length{ // picometres; printed in nm: 25, 5.8, 3.9, 6.7, 2.9, 16.6
		"standard: tolerance": 25_000, "d: tolerance": 5_810, "d1: tolerance": 3_890, "d2: tolerance": 6_670,
		"apart: tolerance": 2_890, "between: tolerance": 16_600,
	}
	for _, c := range b.Contributions {
		if c.Standard != want[c.Source] {
			t.Errorf("%s is %d pm, want %d", c.Source, c.Standard, want[c.Source])
		}
		delete(want, c.Source)
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
}
