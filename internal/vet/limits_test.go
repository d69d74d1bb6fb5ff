package vet

import (
	"strings"
	"testing"
)

// TestWidths: limits that nothing can decide are refused at their line, by what
// counts most, with what mends that.
func TestWidths(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
instruments: {indicator: {GAUGE}}
measure:
  depth: {title: depth, instrument: indicator, REPEATS}
constants: {gasket: {value: 0.300, tolerance: GASKET}}
judge:
  height: {value: depth - gasket, min: 1.000, max: 1.010}
`
	for _, c := range []struct{ gauge, repeats, gasket, want string }{
		{"error: 0.001", "repeats: 1", "0.020", "p.yaml:9:11: height: The limits are 0.010 mm apart, which is 0.9 times the standard uncertainty of 0.0116 mm. At least 3.29 times are needed before any value can conform. The greatest share is gasket: tolerance. At most 0.0043 mm of the result either way would do. More readings or a better gauge do not help. Measure gasket itself instead of using its stated value."},
		{"error: 0.010", "repeats: 1", "0.001", "The greatest share is depth: error of the gauge. At most 0.0043 mm either way would do."},
		{"error: 0.0001, repeatability: {deviation: 0.005, readings: 30}", "repeats: 1", "0.0001", "The greatest share is depth: repeatability, pooled. 5 times as many readings would do."},
		{"error: 0.0001, repeatability: {deviation: 0.005, readings: 30}", "repeats: 5", "0.0001", ""}, // as many as the procedure takes
		{"error: 0.001", "repeats: 1", "0.001", ""},
		// One rectangle of 0.005 either way is inside for sure; one of 0.0052 with 96 %.
		{"error: 0.0052", "repeats: 1", "0.00001", ""},
		{"error: 0.0054", "repeats: 1", "0.00001", "At least 3.29 times are needed"},
		// Student's t with two degrees of freedom: 2 * 4.303 standard uncertainties.
		{"error: 0.00001, repeatability: {deviation: 0.0012, readings: 3}", "repeats: 1", "0.00001", "which is 8.3 times the standard uncertainty of 0.0012 mm. At least 8.60 times are needed"},
		{"error: 0.00001, repeatability: {deviation: 0.0011, readings: 3}", "repeats: 1", "0.00001", ""},
	} {
		content := []byte(strings.NewReplacer("GAUGE", c.gauge, "REPEATS", c.repeats, "GASKET", c.gasket).Replace(text))
		p, err := ReadProcedure("p.yaml", content)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if err := CheckWidths(p, "p.yaml", content); err != nil {
			got = err.Error()
		}
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%+v\ngot  %s", c, got)
		}
	}
}

// TestWidthsOfAPlace: what a part will leave is looked at where nothing is proved
// after fitting, and the proof where there is one.
func TestWidthsOfAPlace(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
instruments: {indicator: {error: 0.010}}
measure: {depth: {title: depth, instrument: indicator}}
gap: depth
allow: {play: {min: 0.100, max: 0.110}}
parts: rings
choose: {method: middle}
`
	const proof = "verify: {measure: {end: {title: end, instrument: indicator}}, play: end}\n"
	for content, want := range map[string]string{
		text:         "p.yaml:7:8: predicted play: The limits are 0.010 mm apart",
		text + proof: "p.yaml:7:8: verified play: The limits are 0.010 mm apart",
	} {
		p, err := ReadProcedure("p.yaml", []byte(content))
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckWidths(p, "p.yaml", []byte(content)); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}
