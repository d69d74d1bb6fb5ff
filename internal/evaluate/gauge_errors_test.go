package evaluate

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// twoDepths is an invented procedure: two depths measured with one gauge, and a
// third length with another.
const twoDepths = `procedure: two-depths
title: Two depths
unit: mm
instruments:
  depth gauge: {error: 0.006}
  micrometer: {error: 0.003}
measure:
  deep: {title: deep, instrument: depth gauge}
  shallow: {title: shallow, instrument: depth gauge}
  ring: {title: ring, instrument: micrometer}
gap: SUM
allow: {result: {min: 0}}
`

// contributions is the budget of a result as "source: standard uncertainty in
// micrometres".
func contributions(e Evaluation) string {
	var all []string
	for _, c := range e.Budgets[0].Contributions {
		all = append(all, fmt.Sprintf("%s %s", c.Source, c.Standard.Text(gauge.Micrometre, 3)))
	}
	return strings.Join(all, "; ")
}

// TestOneGaugeInSeveralLinks: the error of a gauge is one input with the sum of
// what it changes (JCGM 100, 5.2.2 and F.1.2.3): 6 um either way is a standard
// uncertainty of 3.464 um, and 3 um one of 1.732 um.
func TestOneGaugeInSeveralLinks(t *testing.T) {
	const deepAndShallow, once = "deep, shallow: error of the gauge", " (once; varies is not stated)"
	for _, c := range []struct {
		name, sum, want string
		change          []string
		gauges          string // of deep, shallow and ring
	}{
		{"of a difference it bounds the way", "deep - shallow + ring", deepAndShallow + once + " 3.460; ring: error of the gauge 1.730", nil, ""},
		{"of a difference of which one end counts twice", "shallow/2 + shallow/2 - 2*deep", "shallow, deep: error of the gauge" + once + " 6.930", nil, ""},
		{"as far as the formula bends", "sqrt((deep - shallow)*(deep - shallow))", deepAndShallow + " 0.000; " + deepAndShallow + once + " 3.460", nil, ""},
		{"a difference cancels it where it is said not to vary", "deep - shallow + ring", deepAndShallow + ", cancels 0.000; ring: error of the gauge 1.730", []string{"error: 0.006", "error: 0.006, varies: 0"}, ""},
		{"in a sum it counts twice", "deep + shallow + ring", deepAndShallow + " 6.930; ring: error of the gauge 1.730", nil, ""},
		{"by what is left of it", "deep - shallow/2", deepAndShallow + " 1.730", []string{"error: 0.006", "error: 0.006, varies: 0"}, ""},
		{"through intermediate results", "step + shallow", "deep: error of the gauge 3.460", []string{"gap:", "values: {step: deep - 2*shallow + shallow/2 + shallow/2}\ngap:"}, ""},
		{"two gauges of one kind", "deep - shallow", "deep: error of the gauge 3.460; shallow: error of the gauge 3.460", nil, "one two one"},
		{"one gauge by its readings", "deep - shallow", deepAndShallow + once + " 3.460", nil, "one one one"},
		{"one gauge and a reading that was typed", "deep - shallow", "deep: error of the gauge 3.460; shallow: error of the gauge 3.460", nil, "one - -"},
		{"typed in, each from the instrument that is named", "deep - ring", "deep: error of the gauge 3.460; ring: error of the gauge 3.460", []string{"error: 0.003", "error: 0.006"}, "typed - typed"},
		{"typed in from one instrument", "deep - shallow", deepAndShallow + once + " 3.460", nil, "typed typed -"},
		{"typed in where a gauge is said", "deep - ring", "deep, ring: error of the gauge" + once + " 3.460", []string{"error: 0.003", "error: 0.006"}, "typed:_m - typed:_m"},
		{
			"it varies along the range: sqrt(12 - 3) in common, and sqrt(3) at each place", "deep + shallow",
			"deep: error of the gauge, varying 1.730; deep, shallow: error of the gauge 6.000; shallow: error of the gauge, varying 1.730",
			[]string{"error: 0.006", "error: 0.006, varies: 0.003"},
			"",
		},
		{
			"only what varies is left in a difference", "deep - shallow",
			"deep: error of the gauge, varying 1.730; deep, shallow: error of the gauge, cancels 0.000; shallow: error of the gauge, varying 1.730",
			[]string{"error: 0.006", "error: 0.006, varies: 0.003"},
			"",
		},
		{
			"it varies as much as it may be: independent", "deep - shallow",
			"deep: error of the gauge, varying 3.460; shallow: error of the gauge, varying 3.460",
			[]string{"error: 0.006", "error: 0.006, varies: 0.006"},
			"",
		},
		{"of one certificate", "deep + shallow", "deep, shallow: calibration 4.000", []string{"error: 0.006", "calibration: {uncertainty: 0.004, k: 2}"}, ""},
	} {
		edit := strings.NewReplacer(append([]string{"SUM", c.sum}, c.change...)...)
		p, err := readProcedure("p.yaml", []byte(edit.Replace(twoDepths)))
		if err != nil {
			t.Fatal(c.name, err)
		}
		var in compute.Input
		from := strings.Fields(c.gauges)
		for i, name := range []string{"deep", "shallow", "ring"} {
			r := procedure.Reading{Measurement: name, Value: mm("10") * gauge.Length(3-i), Shown: "-", Unit: gauge.Millimetre}
			if len(from) > 0 && from[i] != "-" {
				r.Gauge = strings.ReplaceAll(from[i], "_", " ")
			}
			in.Readings = append(in.Readings, r)
		}
		e, err := Evaluate(p, nil, in)
		if err != nil {
			t.Fatal(c.name, err)
		}
		if got := contributions(e); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// TestTenFromOneStandard is the example of JCGM 100, 5.2.2 (from memory): ten
// resistors, each compared with one standard that is known to 0.1 ohm, are in
// series known to 1 ohm, not to 0.32. Here they are ten lengths of one gauge.
func TestTenFromOneStandard(t *testing.T) {
	var steps, names []string
	var readings []string
	for i := range 10 {
		name := fmt.Sprintf("r%d", i)
		steps = append(steps, fmt.Sprintf("  %s: {title: r, instrument: comparator}\n", name))
		names, readings = append(names, name), append(readings, name+" 1000")
	}
	text := "procedure: ten\ntitle: Ten in series\nunit: mm\ninstruments: {comparator: {calibration: {uncertainty: 0.1, k: 1}}}\nmeasure:\n" +
		strings.Join(steps, "") + "gap: " + strings.Join(names, " + ") + "\nallow: {result: {min: 0}}\n"
	e := evaluateText(t, text, strings.Join(readings, ", "))
	if b := e.Budgets[0]; b.Standard != mm("1") || len(b.Contributions) != 1 || *e.Gap != mm("10000") {
		t.Errorf("%d pm of %+v", b.Standard, b.Contributions)
	}
}

// TestBoundGaugeBeforeReadings: before anything is measured it is known which
// gauge will, and limits that it can hold are not refused.
func TestBoundGaugeBeforeReadings(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(strings.NewReplacer("SUM", "deep - shallow + ring", "{min: 0}", "{min: 10.000, max: 10.008}").Replace(twoDepths)))
	if err != nil {
		t.Fatal(err)
	}
	limit := mm("0.006")
	own := gauge.Ability{Unit: gauge.Millimetre, Error: &limit, Varies: new(gauge.Length)}
	in := compute.Input{Gauges: map[string]gauge.Ability{"deep": own, "shallow": own}, Bound: map[string]string{"deep": "a", "shallow": "a"}}
	for second, want := range map[string]Outcome{"a": Measuring, "b": Undecided} {
		in.Bound["shallow"] = second
		e, err := Evaluate(p, nil, in)
		if err != nil || e.Outcome != want {
			t.Errorf("gauges a and %s: %s, %v, want %s", second, e.Outcome, err, want)
		}
	}
}

// TestWayOfOneGauge: a range is a way that one gauge measures. What is said to
// vary counts at both ends, sqrt(2) * 3/sqrt(3) um; else the error bounds the way.
func TestWayOfOneGauge(t *testing.T) {
	const runout = "procedure: r\ntitle: Run-out\nunit: mm\ninstruments: {dial: {error: 0.010}}\n" +
		"measure: {face: {title: face, instrument: dial, repeats: 2, take: range}}\ngap: face\nallow: {result: {max: 0.1}}\n"
	for change, want := range map[string]string{
		"error: 0.010":                        "face: error of the gauge (once; varies is not stated) 5.770",
		"error: 0.010, varies: 0.003":         "face: error of the gauge, varying 2.450; face: error of the gauge, cancels 0.000",
		"error: 0.010, varies: 0":             "face: error of the gauge, cancels 0.000",
		"calibration: {uncertainty: 1, k: 2}": "face: calibration, cancels 0.000", // as in a difference
	} {
		if got := contributions(evaluateText(t, strings.Replace(runout, "error: 0.010", change, 1), "face 0.10, face 0.13")); got != want {
			t.Errorf("%s: %s, want %s", change, got, want)
		}
	}
}

// TestMisaligned: a gauge that leans by up to 2 degrees reads too long by up to
// 0.061 % of 100 mm. The mean, half of that, is taken off, and the same remains
// either way.
func TestMisaligned(t *testing.T) {
	text := strings.Replace(play, "instrument: indicator}", "instrument: indicator, misaligned: 2}", 1)
	e := evaluateText(t, text, "end_play 100")
	longer := 1 - math.Cos(2*math.Pi/180)
	if want := 100e9 * (1 - longer/2); math.Abs(float64(*e.Gap)-want) > 100 {
		t.Errorf("corrected to %d, want %.0f", *e.Gap, want)
	}
	if s := e.Sums[0]; s.Expression != "end_play * mean factor of the misalignment" || s.Worked != "100.000 * 0.999695414" {
		t.Errorf("%s = %s", s.Expression, s.Worked)
	}
	for _, c := range e.Budgets[0].Contributions {
		if want := 100e9 * longer / 2 / math.Sqrt(3); c.Source == "end_play: out of line" && math.Abs(float64(c.Standard)-want) > want/500 {
			t.Errorf("%s is %d, want %.0f", c.Source, c.Standard, want)
		}
	}
}

// TestAngleAroundNought: an angle of 0 that is known to 3 degrees has no slope.
// Over all angles within 3 degrees the cosine has the mean sin(t)/t and the
// standard deviation t*t*sqrt(4/45)/2.
func TestAngleAroundNought(t *testing.T) {
	text := strings.Replace(play, "instrument: indicator}", "instrument: indicator, angle: {degrees: 0, tolerance: 3}}", 1)
	e := evaluateText(t, text, "end_play 100")
	a := 3 * math.Pi / 180
	if want := 100e9 * math.Sin(a) / a; math.Abs(float64(*e.Gap)-want) > 100 {
		t.Errorf("corrected to %d, want %.0f", *e.Gap, want)
	}
	// The width, by summing up.
	const cells = 100_000
	sum, squares := 0.0, 0.0
	for i := range cells {
		c := math.Cos(a * (2*(float64(i)+0.5)/cells - 1))
		sum, squares = sum+c, squares+c*c
	}
	want := 100e9 * math.Sqrt(squares/cells-sum*sum/cells/cells)
	got := 0.0
	for _, c := range e.Budgets[0].Contributions {
		if c.Source == "end_play: angle, second order" {
			got = float64(c.Standard)
		}
	}
	if math.Abs(got-want) > want/200 {
		t.Errorf("standard uncertainty %g, want %g", got, want)
	}
}

func TestVaryingErrorsRefused(t *testing.T) {
	for change, want := range map[string]string{
		"error: 0.006, varies: 0.007":      "0.007 is more than the error",
		"resolution: 0.001, varies: 0.007": "says nothing without the error or the calibration",
	} {
		_, err := readProcedure("p.yaml", []byte(strings.NewReplacer("SUM", "deep", "error: 0.006", change).Replace(twoDepths)))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", change, err)
		}
	}
}

// TestSharedByPredictionAndProof: the play that is predicted and the one that is
// measured after fitting share the error of their gauge, 6 um, which bounds their
// difference; or cancels in it, where it is said not to vary: what is left then is
// the part's tolerance of 0.010 mm, twice 10/sqrt(3) um.
func TestSharedByPredictionAndProof(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
instruments: {dial: {error: 0.006, varies: 0}, other: {error: 0.006, varies: 0}}
measure: {gap: {title: gap, instrument: dial}}
gap: gap
allow: {play: {min: 0.10, max: 0.20}}
parts: rings
choose: {method: middle, measured_with: dial}
verify: {measure: {end_play: {title: end play, instrument: dial}}, play: end_play}
`
	family, err := procedure.ReadFamily("rings.yaml", []byte(rings))
	if err != nil {
		t.Fatal(err)
	}
	thickness := mm("1.552")
	for _, c := range []struct {
		proof  string
		fitted procedure.Fitted
		want   string // expanded, k = 2, in micrometres
	}{
		{"dial", procedure.Fitted{Part: "R155"}, "11.500"},                                        // 2 * 10/sqrt(3)
		{"other", procedure.Fitted{Part: "R155"}, "15.100"},                                       // 2 * sqrt(10^2 + 6^2 + 6^2)/sqrt(3)
		{"dial", procedure.Fitted{Part: "R155", Thickness: &thickness, Measured: true}, "6.930"},  // the dial once more: 2 * 6/sqrt(3)
		{"other", procedure.Fitted{Part: "R155", Thickness: &thickness, Measured: true}, "6.930"}, // gap less part cancels: 2 * 6/sqrt(3)
	} {
		p, err := readProcedure("p.yaml", []byte(strings.Replace(text, "end play, instrument: dial", "end play, instrument: "+c.proof, 1)))
		if err != nil {
			t.Fatal(err)
		}
		in := compute.Input{Fitted: []procedure.Fitted{c.fitted}}
		for name, value := range map[string]string{"gap": "1.700", "end_play": "0.150"} {
			in.Readings = append(in.Readings, procedure.Reading{Measurement: name, Value: mm(value), Shown: value, Unit: gauge.Millimetre})
		}
		e, err := Evaluate(p, family, in)
		if err != nil || e.Verification == nil || e.Verification.Uncertainty == nil {
			t.Fatalf("%+v, %v", e.Verification, err)
		}
		if got := e.Verification.Uncertainty.Text(gauge.Micrometre, 3); got != c.want {
			t.Errorf("proof with the %s, %+v: %s, want %s", c.proof, c.fitted, got, c.want)
		}
	}
}
