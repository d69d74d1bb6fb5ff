package gauge_test

import (
	"fmt"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// TestOthers: who names what is not there is told what was perhaps meant, and what there is.
func TestOthers(t *testing.T) {
	var many []string
	for i := range 200 {
		many = append(many, fmt.Sprintf("g%03d", i))
	}
	for _, c := range []struct {
		word            string
		there           []string
		english, german string
	}{
		// two of four letters: no guess
		{"dail", []string{"dial", "lever"}, `there is no gauge "dail": did you mean dial? There are dial, lever`, "es gibt kein Messmittel „dail“: war dial gemeint? Es gibt dial, lever"},
		{"levr", []string{"dial", "lever"}, `there is no gauge "levr": did you mean lever? There are dial, lever`, "es gibt kein Messmittel „levr“: war lever gemeint? Es gibt dial, lever"},
		{"Depth-1", []string{"depth-1", "depth-2"}, `there is no gauge "Depth-1": did you mean depth-1? There are depth-1, depth-2`, "es gibt kein Messmittel „Depth-1“: war depth-1 gemeint? Es gibt depth-1, depth-2"},
		{"x", nil, `there is no gauge "x", nor any other`, "es gibt kein Messmittel „x“, und auch sonst nichts dieser Art"},
		{"lever", many, `there is no gauge "lever": there are g000, g001, g002, g003, g004, g005, g006, g007, g008, g009, g010, g011 and 188 more`, "es gibt kein Messmittel „lever“: es gibt g000, g001, g002, g003, g004, g005, g006, g007, g008, g009, g010, g011 und 188 weitere"},
	} {
		err := gauge.NotFound("refusal.gauge.missing", gauge.Text("gauge", c.word), gauge.Others("others", c.word, c.there))
		for l, want := range map[words.Language]string{words.English: c.english, words.German: c.german} {
			if got := words.In(l).Error(err); got != want {
				t.Errorf("got  %s\nwant %s", got, want)
			}
		}
	}
}
