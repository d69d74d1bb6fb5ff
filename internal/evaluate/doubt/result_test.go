package doubt_test

import (
	"testing"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/words"
)

// TestResultsInGerman: a result is called in the language of who reads it; what the shop
// named keeps its name.
func TestResultsInGerman(t *testing.T) {
	german, english := words.In(words.German), words.In(words.English)
	for name, want := range map[string][2]string{
		"gap":                     {"Gap", "Spalt"},
		"verified play":           {"Measured play", "Gemessenes Spiel"},
		"play with 1.55":          {"play with 1.55", "Spiel mit 1.55"},
		"front: play with 1.55":   {"front: play with 1.55", "front: Spiel mit 1.55"},
		"front: verified preload": {"front: Measured play (negative: preload)", "front: Gemessenes Spiel (negativ: Vorspannung)"},
		"depth corrected":         {"depth corrected", "depth berichtigt"},
		"backlash":                {"backlash", "backlash"},
	} {
		said := doubt.Result(name)
		if got := [2]string{english.Tell(said), german.Tell(said)}; got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
	for name, want := range map[string]string{"play with 1.55": "preload with 1.55", "front: play with 1.55": "front: preload with 1.55", "gap": "Gap"} {
		if got := english.Tell(doubt.Foretold(name, procedure.WordPreload)); got != want {
			t.Errorf("of a preload, %s: %q", name, got)
		}
		if got, play := english.Tell(doubt.Foretold(name, procedure.WordPlay)), english.Tell(doubt.Result(name)); got != play {
			t.Errorf("of a play, %s: %q", name, got)
		}
	}
}
