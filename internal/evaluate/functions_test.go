package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// sineBar is an invented procedure: a sine bar and the distance of two pins.
const sineBar = `procedure: sine-bar
title: Sine bar
unit: mm
instruments: {protractor: {unit: deg, error: 0.1}, micrometer: {error: 0.004}}
measure:
  tilt: {title: tilt, unit: deg, instrument: protractor}
  across: {title: across, instrument: micrometer}
  along: {title: along, instrument: micrometer}
constants:
  bar: 100
  cone: {value: 15, unit: deg}
values:
  height: FORMULA
`

// TestFormulasWithFunctions: with units, to the picometre.
func TestFormulasWithFunctions(t *testing.T) {
	for formula, want := range map[string]string{
		"bar * sin(tilt)":                      "50.000000000",
		"sqrt(across*across + along*along)":    "50.000000000",
		"sqrt(2) * across":                     "42.426406871", // 30 * 1.41421356237309504880
		"bar * tan(cone/2)":                    "13.165249759", // tan(7.5 deg) = 0.13165249758739585347
		"along / cos(60)":                      "80.000000000",
		"along * sin(tilt + 60)":               "40.000000000",
		"sqrt(across * along) - sqrt(1200)":    "0.000000000",
		"across * sqrt(along / across) * 3":    "103.923048454", // 30 sqrt(4/3) 3
		"largest(across * cos(2*cone), along)": "40.000000000",
	} {
		e := evaluateText(t, strings.Replace(sineBar, "FORMULA", formula, 1), "tilt 30, across 30, along 40")
		if len(e.Sums) != 1 || e.Sums[0].Value.Text(gauge.Millimetre, 9) != want {
			t.Errorf("%s: %+v, want %s", formula, e.Sums, want)
		}
	}
}

func TestFunctionsRefused(t *testing.T) {
	for formula, want := range map[string]string{
		"sin(across)":                            "sin at character 1 takes an angle, it is a length: give it the unit deg",
		"bar * cos(2 * bar)":                     "cos at character 7 takes an angle, it is a length: give it the unit deg",
		"sqrt(across)":                           "sqrt at character 1 takes a number, or a product of two alike, such as a length times a length; it is a length",
		"sqrt(across*across*across*along) + bar": "another quantity and a length cannot be added",
		"sqrt(across, along)":                    "sqrt at character 1 takes one value",
		"across + sin(30)":                       "a length and a number cannot be added or compared",
		"across + tilt":                          "a length and an angle cannot be added or compared",
		"bar * sqrt(0 - 2)":                      "sqrt of -2.000000 has no value (character 7)",
		"bar * sqrt(cone/cone - 3)":              "sqrt of -2.000000 has no value (character 7)",
		"bar * tan(6 * cone)":                    "tan of 90.000000 has no value (character 7)",
		"bar / (cos(90))":                        "division by zero (character 5)",
		"bar / sin(cone-15)":                     "division by zero (character 5)",
		"bar / sqrt(cone/cone-1)":                "division by zero (character 5)",
	} {
		_, err := readProcedure("p.yaml", []byte(strings.Replace(sineBar, "FORMULA", formula, 1)))
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "p.yaml:13:11:") {
			t.Errorf("%s: %v, want %s", formula, err, want)
		}
	}
}

// TestNoValueIsFound: where a formula has no value for what was measured, the
// readings are looked at again.
func TestNoValueIsFound(t *testing.T) {
	for formula, want := range map[string]string{
		"sqrt(across*across - along*along)": "height = sqrt(across*across - along*along): the square root of a negative number has no value",
		"bar * tan(3 * tilt)":               "height = bar * tan(3 * tilt): the tangent of 90.000000 degrees has no value",
		"bar * along / (across - 30)":       "height = bar * along / (across - 30): division by zero",
	} {
		e := evaluateText(t, strings.Replace(sineBar, "FORMULA", formula, 1), "tilt 30, across 30, along 40")
		if got := findingOf(e, FindingNoValue); e.Outcome != MeasureAgain || !strings.HasPrefix(got, want+". Look at what was measured.") {
			t.Errorf("%s: %s, %q", formula, e.Outcome, got)
		}
	}
}

// TestNoValueInGerman: why a formula or a table has no value is a message, not a sentence
// in English; what stands before it is the formula as the shop wrote it.
func TestNoValueInGerman(t *testing.T) {
	exact := "chart:\n  mode: exact\n  by: {a: mm}\n  rows: {0.10: 2.00, 0.20: 2.20}\n"
	for _, c := range []struct {
		e    Evaluation
		want string
	}{
		{
			evaluateText(t, strings.Replace(sineBar, "FORMULA", "sqrt(across*across - along*along)", 1), "tilt 30, across 30, along 40"),
			"height = sqrt(across*across - along*along): die Wurzel einer negativen Zahl gibt es nicht. Die Messwerte ansehen. Den falschen verwerfen und den Grund angeben.",
		},
		{
			tried(t, withTables(exact, "chart(a)"), "a 0.15 mm", "b 1 mm", "n 1 1", "old plus 2", "new plus 5"),
			"found = chart(a): a 0,15 mm steht nicht in der Tabelle chart, in der nur die gedruckten Werte gelten: den Messwert prüfen, dann nochmals messen.",
		},
	} {
		if len(c.e.Findings) != 1 || german().Tell(c.e.Findings[0].Says) != c.want {
			t.Errorf("%v, want %s", c.e.Findings, c.want)
		}
	}
}
