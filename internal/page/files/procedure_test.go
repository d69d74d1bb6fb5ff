package files

import (
	"strings"
	"testing"

	"gauged/internal/vet"
	"gauged/internal/words"
)

// stated has all that is said of an instrument and of a constant; invented.
const stated = `procedure: depth
title: A depth
unit: mm
instruments:
  micrometer: {resolution: 0.001, error: 0.003, varies: 0.002, calibration: {uncertainty: 0.001, k: 2}}
constants:
  block: {value: 25, tolerance: 0.0005}
measure:
  depth: {title: depth, instrument: micrometer, repeats: 2, take: mean, agree: 0.01, plausible: {min: 10}}
gap: depth - block
allow: {result: {min: 1, max: 2}}
`

// TestProcedureInWords: a person reads of each step and constant what is stated.
func TestProcedureInWords(t *testing.T) {
	p, err := vet.ReadProcedure("p.yaml", []byte(stated))
	if err != nil {
		t.Fatal(err)
	}
	c, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	for language, want := range map[words.Language][]string{
		"en": {"Instrument: micrometer (resolution 0.001 mm; error at most 0.003 mm; varying by 0.002 mm along its range; certificate ± 0.001 mm)", "at least 10.000 mm", "block: 25.000 mm ± 0.0005"},
		"de": {"micrometer (Ziffernschritt 0,001 mm; Abweichung höchstens 0,003 mm; im Messbereich um 0,002 mm schwankend; Kalibrierschein ± 0,001 mm)", "mindestens 10,000 mm", "block: 25,000 mm ± 0,0005"},
	} {
		v, err := ViewProcedure(c.In(language), p)
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, rows := range [][]Row{v.Before[0].Rows, v.Constants} {
			for _, r := range rows {
				said = append(said, r.Label+": "+r.Text)
			}
		}
		text := strings.Join(said, "\n")
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%s: %q is missing in\n%s", language, w, text)
			}
		}
	}
}
