package history_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/history/chain"
	"gauged/internal/historytest"
)

// TestVerifyOfACutFile: a file that lacks its end is ruined, and says so as any that is.
func TestVerifyOfACutFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	s := historytest.OpenAt(t, path)
	for seq := range uint64(500) {
		mustAppend(t, s, gauge.Fact{Seq: seq + 1, State: &gauge.StateChange{Gauge: "dial", Time: start, State: gauge.StateLive}})
	}
	closeStore(t, s)
	content, err := os.ReadFile(path) // historytest looks at its own file once more
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(t.TempDir(), "cut.db")
	for _, less := range []int{4096, 8192, len(content) / 2} {
		if err := os.WriteFile(path, content[:len(content)-less], 0o600); err != nil {
			t.Fatal(err)
		}
		v, err := history.CheckFile(t.Context(), path)
		if err != nil || v.Difference == nil || v.Difference.What != chain.Ruined {
			t.Errorf("%d bytes less: %+v, %v", less, v, err)
		}
	}
	if _, err := history.CheckFile(t.Context(), t.TempDir()); err == nil || !strings.Contains(err.Error(), "no regular file") {
		t.Errorf("a directory: %v", err)
	}
}
