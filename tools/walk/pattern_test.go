//go:build walk

package walk

import (
	"strings"
	"testing"
)

// TestPattern: what a page shows stands for what is printed and for nothing else,
// but for numbers of the history, hashes, times and "...".
func TestPattern(t *testing.T) {
	for _, c := range []struct {
		shown, printed string
		fits           bool
	}{
		{"depth      live   45.036 mm", "depth live 45.036 mm", true},
		{"depth      live   45.036 mm", "depth live 45.037 mm", false},
		{"depth      live", "depth live 45.036 mm", false},
		{"depth  live ...", "depth live 45.036 mm", true},
		{"... fits", "nothing fits", true},
		{"... fits", "nothing fit", false},
		{"#119  46.415 mm, typed", "#7 46.415 mm, typed", true},
		{"#119  46.415 mm, typed", "119 46.415 mm, typed", false},
		{"due on 2026-12-29.", "due on 2031-01-02.", true},
		{"due on 2026-12-29.", "due on Monday.", false},
		{"due on 29 Dec 2026.", "due on 2 Jan 2031.", true},
		{"file c35f2010736e", "file 0123456789ab", true},
	} {
		if got := pattern(c.shown).MatchString(strings.Join(strings.Fields(c.printed), " ")); got != c.fits {
			t.Errorf("%q stands for %q: %t, want %t", c.shown, c.printed, got, c.fits)
		}
	}
}
