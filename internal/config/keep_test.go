package config

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/words"
)

// TestCannotKeep: a history that cannot be written where the configuration says is a note
// of check with what to do, and the configuration is fine; nothing is made.
func TestCannotKeep(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for history, want := range map[string]string{
		"file/below/history.db": "the history cannot be kept at " + file + "/below/history.db by the user who runs this",
		"file/history.db":       " is not a directory): if the daemon runs as this user, make the directory " + file + " and give it to them, or name another place under history:",
		"new/below/history.db":  "",
	} {
		path := filepath.Join(dir, "station.yaml")
		if err := os.WriteFile(path, []byte("station: trial\nhistory: "+history+"\ngauges: {}\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		checked, err := Check(t.Context(), []string{path}, func(string) string { return "" })
		if err != nil || len(checked) != 1 {
			t.Fatalf("%s: %v, %v", history, checked, err)
		}
		if note := words.In(words.English).Tell(checked[0].Note); !strings.Contains(note, want) || want == "" && note != "" {
			t.Errorf("%s: note %q, want %q", history, note, want)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "new")); err == nil {
		t.Error("check made a directory")
	}
}
