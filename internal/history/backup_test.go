package history_test

import (
	"errors"
	"io/fs"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/historytest"
)

func TestBackupWhileAppending(t *testing.T) {
	s := historytest.Open(t)
	all := readings(0, 3000)
	mustAppend(t, s, all[:1000]...)
	done := make(chan error)
	go func() {
		defer close(done)
		for i := 1000; i < len(all); i += 50 {
			if err := s.Append(t.Context(), all[i:i+50]); err != nil {
				done <- err
				return
			}
		}
	}()
	path := filepath.Join(t.TempDir(), "copy.db")
	if _, _, err := s.Backup(t.Context(), path); err != nil {
		t.Error(err)
	}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	backup := historytest.OpenAt(t, path)
	if backup.ID() != s.ID() {
		t.Errorf("the copy has ID %s, want %s", backup.ID(), s.ID())
	}
	var found []gauge.Fact
	found, err := backup.Facts(t.Context(), 0, history.MaxPage)
	if err != nil || len(found) < 1000 {
		t.Fatalf("the copy has %d facts, %v", len(found), err)
	}
	if diff := cmp.Diff(all[:len(found)], found); diff != "" {
		t.Error(diff)
	}
}

func TestBackupRefusesAnExistingFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "history.db")
	s := historytest.OpenAt(t, path)
	_, _, err := s.Backup(t.Context(), path)
	want := "back up history " + path + " to " + path + ": file already exists"
	if !errors.Is(err, fs.ErrExist) || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}
