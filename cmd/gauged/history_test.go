package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// TestHistoryThatCannotBeKept: a directory that cannot be made is named, with what to do.
func TestHistoryThatCannotBeKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	said := cannotKeep(file+"/history.db", fs.ErrPermission).Error()
	if want := "the history cannot be kept at " + file + "/history.db: this user"; len(said) < len(want) || said[:len(want)] != want {
		t.Error(said)
	}
	if _, err := openHistory(t.Context(), "/proc/nothing/history.db"); err == nil || err.Error()[:30] != "the history cannot be kept at " {
		t.Error(err)
	}
}
