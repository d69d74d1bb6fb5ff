package config

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCheckHoldsRowsAgainstWhatIsAllowed: a row of a table whose part is not right for
// some of its gaps is noted, one that is right for none is refused. Numbers ours.
func TestCheckHoldsRowsAgainstWhatIsAllowed(t *testing.T) {
	const procedureText = "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\ngap: g\nallow: {play: {min: 0.05, max: 0.12}}\nchoose: {method: table}\nparts: kit\n"
	for serves, want := range map[string]struct{ note, err string }{
		"{min: 1.05, max: 1.12}": {"", ""},
		"{min: 1.05, max: 1.14}": {"but look again: a of 1.000 mm of family kit serves gaps of 1.050 to 1.140 mm, where it leaves play 0.050 to 0.140 mm, and allowed is play 0.050 to 0.120 mm", ""},
		"{min: 1.15, max: 1.24}": {"", "procedure p allows play 0.050 to 0.120 mm, but a of 1.000 mm of family kit serves gaps of 1.150 to 1.240 mm, where it leaves play 0.150 to 0.240 mm: look for a slip of the pen in the row, or in what is allowed"},
	} {
		dir := t.TempDir()
		for name, text := range map[string]string{
			"p.yaml":   procedureText,
			"kit.yaml": "family: kit\ntitle: kit\nunit: mm\nrow_step: 0.01\ngrades: [{part: a, thickness: 1.00, serves: " + serves + "}]\n",
		} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		checked, err := Check(t.Context(), []string{dir}, os.Getenv)
		if want.err != "" {
			if err == nil || !strings.HasSuffix(err.Error(), want.err) {
				t.Errorf("%s: %v", serves, err)
			}
			continue
		}
		note := ""
		for _, c := range checked {
			note += c.Note
		}
		if err != nil || note != want.note {
			t.Errorf("%s: %q, %v", serves, note, err)
		}
	}
}
