package gauge

import (
	"fmt"
	"testing"
)

func TestNone(t *testing.T) {
	for _, c := range []struct {
		word  string
		there []string
		want  string
	}{
		{"dail", []string{"dial", "lever"}, `there is no gauge "dail": did you mean dial? There are dial, lever`}, // two of four letters: no guess
		{"levr", []string{"dial", "lever"}, `there is no gauge "levr": did you mean lever? There are dial, lever`},
		{"Depth-1", []string{"depth-1", "depth-2"}, `there is no gauge "Depth-1": did you mean depth-1? There are depth-1, depth-2`},
		{"x", nil, `there is no gauge "x", nor any other`},
	} {
		if got := None("gauge", c.word, c.there); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
	var many []string
	for i := range 200 {
		many = append(many, fmt.Sprintf("g%03d", i))
	}
	if got, want := None("gauge", "lever", many), `there is no gauge "lever": there are g000, g001, g002, g003, g004, g005, g006, g007, g008, g009, g010, g011 and 188 more`; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}
