package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/words"
)

// TestHistoryThatCannotBeKept: a directory that cannot be made is named, with what to do.
func TestHistoryThatCannotBeKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	said := words.In(words.English).Error(cannotKeep(file+"/history.db", fs.ErrPermission))
	if want := "the history cannot be kept at " + file + "/history.db by the user who runs this"; len(said) < len(want) || said[:len(want)] != want {
		t.Error(said)
	}
	if _, err := openHistory(t.Context(), "/proc/nothing/history.db"); err == nil || !strings.HasPrefix(words.In(words.English).Error(err), "the history cannot be kept at ") {
		t.Error(err)
	}
}
