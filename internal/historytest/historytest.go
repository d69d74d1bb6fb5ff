// Package historytest opens histories in tests and checks each of them when
// its test ends.
package historytest

import (
	"context"
	"path/filepath"
	"testing"

	"gauged/internal/history"
)

// Open creates a history in a directory of the test.
func Open(tb testing.TB) *history.Store {
	tb.Helper()
	return OpenAt(tb, filepath.Join(tb.TempDir(), "history.db"))
}

// OpenAt opens or creates the history at path. When the test ends the history
// is closed, if the test has not done it, opened again and checked.
func OpenAt(tb testing.TB, path string) *history.Store {
	tb.Helper()
	s, err := history.Open(tb.Context(), path)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		if err := s.Close(); err != nil {
			tb.Error(err)
		}
		check(tb, path)
	})
	return s
}

// check runs after the test, when its own context is over.
func check(tb testing.TB, path string) {
	tb.Helper()
	ctx := context.Background()
	s, err := history.Open(ctx, path)
	if err != nil {
		tb.Errorf("open the history again after the test: %v", err)
		return
	}
	if err := s.Check(ctx); err != nil {
		tb.Error(err)
	}
	if err := s.Close(); err != nil {
		tb.Error(err)
	}
}
