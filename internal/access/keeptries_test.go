package access

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestRestartRemembersTries: who waits after wrong tries waits on after a restart, and no
// longer than a wrong try makes wait when the clock was set back meanwhile.
func TestRestartRemembersTries(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tries")
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	started := func(now time.Time) (*Tries, *KeptTries) {
		t.Helper()
		people := &Tries{Free: 3}
		kept, err := KeepTries(path, map[string]*Tries{"people": people}, now)
		if err != nil {
			t.Fatal(err)
		}
		return people, kept
	}
	people, kept := started(now)
	for range 3 {
		if wait := people.Begin("Ada", now); wait != 0 {
			t.Fatalf("the first tries wait %v", wait)
		}
	}
	if err := kept.Keep(); err != nil {
		t.Fatal(err)
	}
	people, _ = started(now.Add(time.Second))
	if wait := people.Begin("Ada", now.Add(time.Second)); wait != time.Second {
		t.Errorf("after the restart Ada waits %v", wait)
	}
	if wait := people.Begin("Bea", now); wait != 0 {
		t.Errorf("Bea waits %v", wait)
	}
	people, _ = started(now.AddDate(-2, 0, 0))
	if wait := people.Begin("Ada", now.AddDate(-2, 0, 0)); wait != longest {
		t.Errorf("with a clock that was set back Ada waits %v", wait)
	}
	if err := os.WriteFile(path, []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := KeepTries(path, map[string]*Tries{"people": {}}, now); err == nil {
		t.Error("a torn file is not told")
	}
}

// TestTriesAtOnceAreKept: many who try at once leave a file that can be read.
func TestTriesAtOnceAreKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tries")
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	people := &Tries{Free: 3}
	kept, err := KeepTries(path, map[string]*Tries{"people": people}, now)
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error)
	for i := range 8 {
		go func() {
			people.Begin(string(rune('a'+i)), now)
			done <- kept.Keep()
		}()
	}
	for range 8 {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	again := &Tries{Free: 3}
	if _, err := KeepTries(path, map[string]*Tries{"people": again}, now); err != nil || len(again.wrong) != 8 {
		t.Errorf("%d are kept, %v", len(again.wrong), err)
	}
}
