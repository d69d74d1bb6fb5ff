package sheet

import (
	"strings"
	"testing"

	"gauged/internal/words"
)

// TestMissesOfPartsAreWritten: so it is with the play that a grade would leave.
func TestMissesOfPartsAreWritten(t *testing.T) {
	for language, want := range map[words.Language]string{"en": "0.20004 mm", "de": "0,20004 mm"} {
		w := in(t, language)
		s := made(t, Input{Job: worked(t, oneShim, shims, nil, "depth 1.60004")}, w)
		if got := row(t, s, said(t, w, "study.parts"), "1.40")[said(t, w, "sheet.head.gives")]; !strings.HasPrefix(got, want) {
			t.Errorf("%s: %q, not %q", language, got, want)
		}
	}
}
