package history_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"gauged/internal/history"
	"gauged/internal/historytest"
)

var update = flag.Bool("update", false, "write the stored history of the present schema version if it is missing")

// stored are histories that released programs wrote, one of each schema
// version. None is ever written again: they are what users have.
var stored = []string{"schema1.db", "schema2.db", "schema3.db", "schema4.db", "schema5.db", "schema6.db", "schema7.db", "schema8.db", "schema9.db", "schema10.db", "schema11.db", "schema12.db", "schema13.db", "schema14.db"}

const storedDir = "../../testdata/history"

// TestUpgrade opens each stored history with the present program.
func TestUpgrade(t *testing.T) {
	if *update {
		writeStored(t, stored[len(stored)-1])
	}
	for i, name := range stored {
		t.Run(name, func(t *testing.T) {
			path := copyOf(t, filepath.Join(storedDir, name))
			s := historytest.OpenAt(t, path)
			found, err := s.Facts(t.Context(), 0, history.MaxPage)
			if err != nil {
				t.Fatal(err)
			}
			if diff := differ(mixed(i+1), found); diff != "" {
				t.Error(diff)
			}
			if len(s.ID()) != 32 {
				t.Errorf("its ID is %q", s.ID())
			}
			next := s.LastSeq() + 1
			mustAppend(t, s, reading(next, "a", 4), reading(next+1, "b", 2))
		})
	}
}

// TestVerifyEarlier: a history that an earlier program wrote is what it was, and is only looked at.
func TestVerifyEarlier(t *testing.T) {
	for _, name := range stored[9:] { // which have a chain
		v, err := history.CheckFile(t.Context(), copyOf(t, filepath.Join(storedDir, name)))
		if err != nil || v.Difference != nil {
			t.Errorf("%s: %v, %v", name, v, err)
		}
	}
}

// writeStored writes a history of the present schema, unless it is there.
func writeStored(t *testing.T, name string) {
	t.Helper()
	path := filepath.Join(storedDir, name)
	if _, err := os.Stat(path); err == nil {
		return
	}
	s := openPlain(t, path)
	mustAppend(t, s, mixed(len(stored))...)
	closeStore(t, s)
	for _, beside := range []string{".lock", ".key", ".known"} {
		if err := os.Remove(path + beside); err != nil {
			t.Fatal(err)
		}
	}
}

// copyOf copies a file into a directory of the test.
func copyOf(tb testing.TB, from string) string {
	tb.Helper()
	content, err := os.ReadFile(from)
	if err != nil {
		tb.Fatal(err)
	}
	path := filepath.Join(tb.TempDir(), filepath.Base(from))
	if err := os.WriteFile(path, content, 0o600); err != nil {
		tb.Fatal(err)
	}
	return path
}
