package history_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// TestMissingIsFound: the first number without a fact is found, wherever it is, and the history
// goes on behind it. A reading in the middle of those of its gauge is left to the walk along the
// chain.
func TestMissingIsFound(t *testing.T) {
	facts := mixed(len(stored))
	last := uint64(len(facts))
	for sql, want := range map[string]uint64{
		"SELECT 1":                           0,
		"DELETE FROM states WHERE seq = 1":   1,
		"DELETE FROM rejects":                6,
		"DELETE FROM job_facts":              7,
		"DELETE FROM gauge_facts":            9,
		"DELETE FROM files WHERE seq = 2":    2,
		"DELETE FROM readings WHERE seq = 8": 8, // the last one of its gauge
		"DELETE FROM readings WHERE seq = 4": 0,
		"DELETE FROM access_facts":           0, // set below
		"DELETE FROM gauge_facts; INSERT INTO states VALUES (1000, 'a', 0, 'live', ''), (-1, 'a', 0, 'live', '')": 9,
	} {
		if strings.HasSuffix(sql, "access_facts") {
			want = uint64(1 + slices.IndexFunc(facts, func(f gauge.Fact) bool { return f.Access != nil }))
		}
		path := filepath.Join(t.TempDir(), "history.db")
		s := openPlain(t, path)
		mustAppend(t, s, facts...)
		closeStore(t, s)
		changeSQL(t, path, sql)
		s = openPlain(t, path)
		if seq, err := s.Missing(t.Context()); seq != want || err != nil {
			t.Errorf("%s: %d is missing, %v, not %d", sql, seq, err, want)
		}
		if s.LastSeq() < last {
			t.Errorf("%s: the history goes on after %d, not after %d", sql, s.LastSeq(), last)
		}
		closeStore(t, s)
	}
}

// TestNothingIsMissing: in no history that is whole a fact is said to be missing, whether an earlier
// program wrote it, or a copy was put in its place.
func TestNothingIsMissing(t *testing.T) {
	whole := func(what, path string) {
		t.Helper()
		s := openPlain(t, path)
		defer closeStore(t, s)
		if seq, err := s.Missing(t.Context()); seq != 0 || err != nil || s.LastSeq() == 0 {
			t.Errorf("%s: %d of %d is missing, %v", what, seq, s.LastSeq(), err)
		}
	}
	for _, name := range stored {
		whole(name, copyOf(t, filepath.Join(storedDir, name)))
	}
	dir := t.TempDir()
	path, backup := filepath.Join(dir, "history.db"), filepath.Join(dir, "copy.db")
	s := openPlain(t, path)
	mustAppend(t, s, readings(0, 3000)...)
	if _, _, err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, readings(3000, 5)...)
	closeStore(t, s)
	whole("as it was written", path)
	if _, _, err := history.Restore(t.Context(), backup, path, start); err != nil {
		t.Fatal(err)
	}
	whole("restored", path)
}

// BenchmarkMissing looks for missing numbers in a history of a million readings.
func BenchmarkMissing(b *testing.B) {
	s := openPlain(b, filepath.Join(b.TempDir(), "history.db"))
	defer closeStore(b, s)
	for s.LastSeq() < 1_000_000 {
		mustAppend(b, s, readings(s.LastSeq(), 10_000)...)
	}
	for b.Loop() {
		if seq, err := s.Missing(b.Context()); seq != 0 || err != nil {
			b.Fatal(seq, err)
		}
	}
}
