package cli

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
	"gauged/internal/gauge"
	"gauged/internal/history"
)

// TestVerifyOffline: a file is verified without a daemon; its head by the key beside it.
func TestVerifyOffline(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	s, err := history.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	for seq := range uint64(3) {
		if err := s.Append(t.Context(), []gauge.Fact{{Seq: seq + 1, State: &gauge.StateChange{Gauge: "dial", State: gauge.StateLive}}}); err != nil {
			t.Fatal(err)
		}
	}
	head := s.Head("bench 1", clitest.At(0).AsTime()).String()
	forged := strings.Replace(head, "bench", "bunch", 1)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	verify := func(wantCode int, want string, flags ...string) {
		t.Helper()
		code, stdout, stderr := call(t, "/nowhere", "", append([]string{"history", "verify", path}, flags...)...)
		if code != wantCode || !strings.Contains(stdout+stderr, want) {
			t.Errorf("%v: code %d, want %d\n%s%swant %s", flags, code, wantCode, stdout, stderr, want)
		}
	}
	verify(app.ExitFine, "All 3 facts are what was stored.")
	verify(app.ExitFine, "It is signed by the key of this station.", "--head", head)
	verify(app.ExitFine, "The head agrees", "--head", strings.Join(strings.Fields(head)[1:2], "")+" "+strings.Fields(head)[4][:16])
	verify(app.ExitFine, "signature was not checked", "--head", "3 "+strings.Fields(head)[4][:16])
	verify(app.ExitAnswerIsNo, "the head is not signed by the key of this station", "--head", forged)
	verify(app.ExitAnswerIsNo, "the head is not signed", "--head", head, "--key", strings.Repeat("00", 32))
	verify(app.ExitAnswerIsNo, "fact 2 has another digest than the head says", "--head", "2 "+strings.Fields(head)[4][:16])
	verify(app.ExitAnswerIsNo, "it ends with fact 3, the head is of fact 9", "--head", "9 "+strings.Fields(head)[4][:16])
	verify(app.ExitUsage, "there is no head in it", "--head", "nothing")
	verify(app.ExitUsage, "is no public key", "--key", "00")
	conn, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(conn.Exec("DROP TRIGGER states_keep; UPDATE states SET gauge = 'lever' WHERE seq = 2"), conn.Close()); err != nil {
		t.Fatal(err)
	}
	verify(app.ExitAnswerIsNo, "the history is not what was stored: fact 2 (states, gauge lever) is not what was stored")
	if code, _, stderr := call(t, "/nowhere", "", "history", "restore", path, path+".new"); code != app.ExitFailure || !strings.Contains(stderr, "the history is damaged: fact 2") {
		t.Errorf("a damaged copy: %d %s", code, stderr)
	}
	if code, _, stderr := call(t, "/nowhere", "", "history", "verify", "--key", "00"); code != app.ExitUsage || !strings.Contains(stderr, "the daemon has its own") {
		t.Errorf("a key for the daemon: %d %s", code, stderr)
	}
}
