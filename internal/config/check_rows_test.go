package config

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/words"
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
			note += words.In(words.English).Tell(c.Note)
		}
		if err != nil || note != want.note {
			t.Errorf("%s: %q, %v", serves, note, err)
		}
	}
}

// TestNotesInGerman: what check notes of a file is told in the language of who reads it.
func TestNotesInGerman(t *testing.T) {
	dir := t.TempDir()
	text := "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}, idle: {title: idle}}\nconstants: {gasket: 0.3}\ngap: g\nallow: {play: {min: 0.05, max: 0.12}}\nchoose: {method: middle}\npart: made to size\nexamples:\n  - {readings: {g: 1.5, idle: 2}, wants: {gap: 1.5}}\n"
	if err := os.WriteFile(filepath.Join(dir, "p.yaml"), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	checked, err := Check(t.Context(), []string{dir}, os.Getenv)
	if err != nil || len(checked) != 1 {
		t.Fatal(checked, err)
	}
	for language, want := range map[words.Language]string{
		words.English: "its example comes out; but look again: idle is measured and stands in no sum, limit or case that counts; the constant gasket stands in no sum, limit or case that counts",
		words.German:  "sein Beispiel stimmt; aber noch einmal ansehen: idle wird gemessen und steht in keiner Formel, keiner Grenze und keinem Fall, der zählt; die Konstante gasket steht in keiner Formel, keiner Grenze und keinem Fall, der zählt",
	} {
		if got := words.In(language).Tell(checked[0].Note); got != want {
			t.Errorf("%s: %s", language, got)
		}
	}
}
