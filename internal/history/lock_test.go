package history_test

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"gauged/internal/history"
	"gauged/internal/historytest"
)

// TestHardLinkIsNoSecondDoor: the same file under another name, in another directory, is in
// use as well; once it is closed it can be opened there.
func TestHardLinkIsNoSecondDoor(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("the file itself is locked on Linux alone")
	}
	path := filepath.Join(t.TempDir(), "history.db")
	other := filepath.Join(t.TempDir(), "other.db")
	s := openPlain(t, path)
	mustAppend(t, s, readings(0, 5)...)
	if err := os.Link(path, other); err != nil {
		t.Fatal(err)
	}
	if _, err := history.Open(t.Context(), other); !errors.Is(err, history.ErrInUse) {
		t.Errorf("through a hard link: %v", err)
	}
	mustAppend(t, s, readings(5, 5)...)
	if v, err := history.CheckFile(t.Context(), path); err != nil || v.Facts != 10 {
		t.Errorf("reading alongside: %+v, %v", v, err)
	}
	closeStore(t, s)
	if n := historytest.OpenAt(t, other).LastSeq(); n != 10 {
		t.Errorf("%d facts of 10 are there", n)
	}
}

// TestHolderIsProven: a process is named where it has the lock. The number that the file has
// says nothing alone.
func TestHolderIsProven(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("who has a lock is known on Linux alone")
	}
	path := filepath.Join(t.TempDir(), "history.db")
	s := openPlain(t, path)
	defer closeStore(t, s)
	for _, stale := range []string{"1\n", "4194303\n", "", "?"} {
		if err := os.WriteFile(path+".lock", []byte(stale), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := history.Open(t.Context(), path); !errors.Is(err, history.ErrInUse) || !strings.Contains(err.Error(), "in use by another process;") {
			t.Errorf("with %q in the file: %v", stale, err)
		}
	}
}

// TestMovedHistoryIsNoticed: a history that is moved away, replaced or emptied under the
// program that writes it.
func TestMovedHistoryIsNoticed(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("the file itself is held open on Linux alone")
	}
	for name, take := range map[string]func(path string) error{
		"moved away": func(path string) error { return os.Rename(path, path+".away") },
		"replaced": func(path string) error {
			return errors.Join(os.WriteFile(path+".new", []byte("x"), 0o600), os.Rename(path+".new", path))
		},
		"emptied": func(path string) error { return os.Truncate(path, 0) },
	} {
		path := filepath.Join(t.TempDir(), "history.db")
		s := openPlain(t, path)
		mustAppend(t, s, readings(0, 5)...)
		if err := s.InPlace(); err != nil {
			t.Errorf("%s, before: %v", name, err)
		}
		if err := take(path); err != nil {
			t.Fatal(err)
		}
		if err := s.InPlace(); !errors.Is(err, history.ErrMoved) {
			t.Errorf("%s: %v", name, err)
		}
		_ = s.Close() // it cannot be what it was
		if err := s.InPlace(); err != nil {
			t.Errorf("%s, closed: %v", name, err)
		}
	}
}
