package doubt_test

import (
	"testing"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/words"
)

// TestExpressedInGerman: a line of arithmetic has no English in it but what the shop wrote.
func TestExpressedInGerman(t *testing.T) {
	german := words.In(words.German)
	for line, want := range map[string]string{
		"depth * cosine of the angle * factor to 20 degC": "depth * Kosinus des Winkels * Faktor auf 20 °C",
		"depth * mean factor of the misalignment":         "depth * mittlerer Faktor der Schiefstellung",
		"the middle of what is stated of r1.40":           "die Mitte dessen, was zu r1.40 angegeben ist",
		"2 * depth - height":                              "2 * depth - height",
	} {
		if got := german.Tell(doubt.Expressed(line)); got != want {
			t.Errorf("%s: %q", line, got)
		}
	}
}
