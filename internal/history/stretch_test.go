package history_test

import (
	"os"
	"path/filepath"
	"testing"
)

// TestStretches: a copy that takes the place of a history gives its numbers out again. Who has a
// number with its stretch is told whether it stands for the same in the history that is there now.
func TestStretches(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	s := openPlain(t, path)
	mustAppend(t, s, reading(1, "a", 1), reading(2, "a", 2))
	first := s.Stretch()
	copied := filepath.Join(t.TempDir(), "copy.db")
	if _, _, err := s.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, reading(3, "a", 3))
	closeStore(t, s)
	s = openPlain(t, path)
	mustAppend(t, s, reading(4, "a", 4))
	second := s.Stretch()
	holds := func(stretch string, seq uint64, want bool) {
		t.Helper()
		if got, err := s.Holds(t.Context(), stretch, seq); err != nil || got != want {
			t.Errorf("stretch %s holds %d: %v %v, want %v", stretch, seq, got, err, want)
		}
	}
	holds(first, 0, true)
	holds(first, 3, true)
	holds(first, 4, false)
	holds(second, 1, true) // what was there when it began is the same too
	holds(second, 4, true)
	holds(second, 5, false)
	closeStore(t, s)

	if err := os.Rename(copied, path); err != nil {
		t.Fatal(err)
	}
	s = openPlain(t, path)
	mustAppend(t, s, reading(3, "a", 3), reading(4, "a", 4), reading(5, "a", 5))
	holds(first, 2, true)
	holds(first, 3, false) // the copy was made before
	holds(second, 1, false)
	holds(s.Stretch(), 5, true)
	if len(first) != 32 || first == second || s.Stretch() == second || s.Stretch() == first {
		t.Errorf("the stretches are %s, %s and %s", first, second, s.Stretch())
	}
	closeStore(t, s)
}
