package doubt_test

import (
	"testing"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/words"
)

// TestSourcesInGerman: nothing in the name of a contribution is English on a German page but
// what the shop wrote. The names are those that a history may hold.
func TestSourcesInGerman(t *testing.T) {
	german, english := words.In(words.German), words.In(words.English)
	for name, want := range map[string][2]string{
		"end: tolerance":    {"end: tolerance", "end: Toleranz"},
		"bore: resolution":  {"bore: resolution", "bore: Ziffernschritt"},
		"a: resolution (2)": {"a: resolution (2)", "a: Ziffernschritt (2)"},
		"depth, height: error of the gauge (once; varies is not stated)": {
			"depth, height: error of the gauge (counted once in full, as nothing says by how much it varies)",
			"depth, height: Abweichung des Messmittels (einmal voll gezählt, da nicht angegeben ist, um wie viel sie sich ändert)",
		},
		"temperature, cancels":                                    {"temperature (cancels out)", "Temperatur (hebt sich auf)"},
		"range of end: calibration, cancels":                      {"range of end: calibration (cancels out)", "Spannweite von end: Kalibrierung (hebt sich auf)"},
		"range of a, b, median of c: calibration":                 {"range of a, b, median of c: calibration", "Spannweite von a, b, Median von c: Kalibrierung"},
		"error taken off, taken away, cancels":                    {"error taken off (makes the result smaller, cancels out)", "abgezogene Abweichung (macht das Ergebnis kleiner, hebt sich auf)"},
		"expansion of the gauge of depth, not stated":             {"expansion of the gauge of depth, not stated", "Ausdehnung: Messmittel von depth, nicht angegeben"},
		"expansion of the micrometer":                             {"expansion of the micrometer", "Ausdehnung: micrometer"},
		"truncated mean of x: temperature apart from the gauge's": {"mean without the ends of x: temperature apart from the gauge's", "Mittelwert ohne die äußersten von x: Temperaturunterschied zum Messmittel"},
	} {
		said := doubt.Source(name)
		if got := [2]string{english.Tell(said), german.Tell(said)}; got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
}
