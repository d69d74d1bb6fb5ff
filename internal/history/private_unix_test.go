//go:build unix

package history_test

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"gauged/internal/historytest"
)

// A history and all beside it, and a copy, are the daemon's alone to read, whatever the
// mask of the process: hashes of PINs and who works here stand in it.
func TestHistoryIsPrivate(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0))
	dir := t.TempDir()
	store := historytest.OpenAt(t, filepath.Join(dir, "history.db"))
	if _, _, err := store.Backup(t.Context(), filepath.Join(dir, "copy.db")); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	looked := 0
	for _, e := range entries {
		info, err := e.Info()
		if err != nil {
			t.Fatal(err)
		}
		passing := strings.HasSuffix(e.Name(), "-wal") || strings.HasSuffix(e.Name(), "-shm") // SQLite's, by the mask of the daemon
		if info.Mode().IsRegular() && !passing {
			looked++
			if info.Mode().Perm()&0o077 != 0 {
				t.Errorf("%s has the mode %v", e.Name(), info.Mode())
			}
		}
	}
	if looked < 3 || !strings.HasPrefix(entries[0].Name(), "copy") {
		t.Errorf("only %d files: %v", looked, entries)
	}
}
