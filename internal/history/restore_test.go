package history_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"gauged/internal/history"
	"gauged/internal/historytest"
)

// TestRestore: a copy that was made while facts were stored is put in the place of the
// history, which is moved aside whole; a history in use and a damaged copy are refused.
func TestRestore(t *testing.T) {
	dir := t.TempDir()
	path, backup := filepath.Join(dir, "history.db"), filepath.Join(dir, "copy.db")
	s := openPlain(t, path)
	mustAppend(t, s, readings(0, 20)...)
	if v, size, err := s.Backup(t.Context(), backup); err != nil || v.Facts != 20 || size < 4096 {
		t.Fatalf("%+v, %d bytes, %v", v, size, err)
	}
	mustAppend(t, s, readings(20, 5)...)
	if _, _, err := history.Restore(t.Context(), backup, path, start); !errors.Is(err, history.ErrInUse) {
		t.Errorf("in use: %v", err)
	}
	closeStore(t, s)
	v, aside, err := history.Restore(t.Context(), backup, path, start)
	if err != nil || v.Facts != 20 || aside != path+".before-20260302T070000Z" {
		t.Fatalf("%+v, %q, %v", v, aside, err)
	}
	if n := historytest.OpenAt(t, path).LastSeq(); n != 20 {
		t.Errorf("%d facts were restored", n)
	}
	if n := historytest.OpenAt(t, aside).LastSeq(); n != 25 {
		t.Errorf("%d facts are in what was moved aside", n)
	}
	fresh := filepath.Join(dir, "fresh.db")
	if _, aside, err := history.Restore(t.Context(), backup, fresh, start); err != nil || aside != "" {
		t.Errorf("%q, %v", aside, err)
	}
	if n := historytest.OpenAt(t, fresh).LastSeq(); n != 20 {
		t.Errorf("%d facts were restored", n)
	}
	if names, err := filepath.Glob(backup + "-*"); err != nil || len(names) > 0 {
		t.Errorf("beside the copy: %v, %v", names, err)
	}
	execSQL(t, backup, "DROP TRIGGER readings_keep; UPDATE readings SET value = 0 WHERE seq = 7")
	if _, _, err := history.Restore(t.Context(), backup, fresh+"2", start); !errors.Is(err, history.ErrDamaged) {
		t.Errorf("a damaged copy: %v", err)
	}
	if names, err := filepath.Glob(filepath.Join(dir, "*restoring*")); err != nil || len(names) > 0 {
		t.Errorf("left behind: %v, %v", names, err)
	}
	if _, err := os.Stat(fresh + "2"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a damaged copy was put in place: %v", err)
	}
}

// TestLogWithoutItsHistory: where the file of a history was taken away and its log is there,
// no new history throws the log away, and no restored copy takes it for its own.
func TestLogWithoutItsHistory(t *testing.T) {
	dir, left := t.TempDir(), t.TempDir()
	path, backup := filepath.Join(dir, "history.db"), filepath.Join(t.TempDir(), "copy.db")
	s := openPlain(t, path)
	mustAppend(t, s, readings(0, 20)...)
	if _, _, err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, readings(20, 5)...)
	if err := os.CopyFS(left, os.DirFS(dir)); err != nil { // as after a kill
		t.Fatal(err)
	}
	closeStore(t, s)
	path = filepath.Join(left, "history.db")
	if err := os.Rename(path, path+".away"); err != nil {
		t.Fatal(err)
	}
	if _, err := history.Open(t.Context(), path); !errors.Is(err, history.ErrLogAlone) {
		t.Errorf("its file is gone: %v", err)
	}
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := history.Open(t.Context(), path); !errors.Is(err, history.ErrLogAlone) {
		t.Errorf("its file is empty: %v", err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	_, aside, err := history.Restore(t.Context(), backup, path, start)
	if err != nil || aside == "" {
		t.Fatalf("%q, %v", aside, err)
	}
	if n := historytest.OpenAt(t, path).LastSeq(); n != 20 {
		t.Errorf("%d facts were restored", n)
	}
	if err := os.Rename(path+".away", aside); err != nil {
		t.Fatal(err)
	}
	if n := historytest.OpenAt(t, aside).LastSeq(); n != 25 {
		t.Errorf("%d facts are there when the file is back beside its log", n)
	}
}
