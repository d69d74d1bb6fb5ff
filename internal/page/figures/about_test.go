package figures

import (
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health/study"
	"gauged/internal/words"
)

// TestBiasHasItsDigits: the bias of a headline has the digits of its line in the table, as its
// standard error leaves them, and none of its own.
func TestBiasHasItsDigits(t *testing.T) {
	bias := 0.0012345
	of := &study.BiasResult{Bias: bias}
	of.ByDeviation.Error = 0.0004
	for language, want := range map[words.Language]string{words.English: "0.00123 mm", words.German: "0,00123 mm"} {
		if got := Bias(&study.Study{Bias: of}, study.Headline{Bias: &bias}, gauge.Millimetre, words.In(language)); got != want {
			t.Errorf("%s: %q", language, got)
		}
	}
	if got := Bias(&study.Study{}, study.Headline{}, gauge.Millimetre, words.In(words.English)); got != "" {
		t.Errorf("of a study without one: %q", got)
	}
}
