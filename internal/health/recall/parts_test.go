package recall

import (
	"slices"
	"testing"

	"gauged/internal/words"
)

// TestPartsOfACurveInGerman: what is not known of an error is named in the language of who
// reads it, with the masters as the shop named them.
func TestPartsOfACurveInGerman(t *testing.T) {
	said := func(points ...Point) (all []string) {
		for _, says := range curve(t)(NewCurve(points)).Parts() {
			all = append(all, words.In(words.German).Tell(says))
		}
		return all
	}
	want := []string{
		"abgezogene Abweichung: alle Normale", "abgezogene Abweichung bei Punkt 1", "abgezogene Abweichung bei E and 25",
		"abgezogene Abweichung zwischen Punkt 1 und E and 25", "abgezogene Abweichung unterhalb von Punkt 1", "abgezogene Abweichung oberhalb von E and 25",
	}
	if got := said(Point{At: 0}, Point{Name: "E and 25", At: mm("25")}); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	if got := said(Point{At: 0})[1]; got != "abgezogene Abweichung" {
		t.Errorf("%q", got)
	}
}
