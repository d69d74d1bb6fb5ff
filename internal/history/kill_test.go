package history_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"gauged/internal/history"
	"gauged/internal/historytest"
)

// childVariable makes the test program a child that appends to the history it names.
const childVariable = "GAUGED_TEST_APPEND_TO"

// appendUntilKilled appends small batches and prints the last number of each
// once it is acknowledged.
func appendUntilKilled(path string) int {
	s, err := history.Open(context.Background(), path)
	for n := 1; err == nil; n++ {
		if err = s.Append(context.Background(), readings(s.LastSeq(), 1+n%5)); err == nil {
			fmt.Println(s.LastSeq())
		}
	}
	fmt.Fprintln(os.Stderr, err)
	return 1
}

// TestProcessKill kills a process that appends, over and over on one history.
// It proves recovery, the order of acknowledgement and that the lock goes with
// its process. It does not prove durability: what a killed program wrote stays
// in the memory of the operating system, so that this test would pass without
// any sync. TestPowerLoss is there for that. GAUGED_KILLS says how often it kills.
func TestProcessKill(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	rng := rand.New(rand.NewPCG(*seed, 0))
	for kill := range runs("GAUGED_KILLS", 8) {
		acked := killAfter(t, path, 1+rng.IntN(40))
		s := openPlain(t, path)
		if s.LastSeq() < acked {
			t.Fatalf("kill %d of -seed %d: %d facts were acknowledged, %d are there", kill, *seed, acked, s.LastSeq())
		}
		found, err := s.Facts(t.Context(), 0, history.MaxPage)
		if err != nil {
			t.Fatal(err)
		}
		if diff := differ(readings(0, int(s.LastSeq())), found); diff != "" {
			t.Fatalf("kill %d of -seed %d: %s", kill, *seed, diff)
		}
		closeStore(t, s)
	}
	if last := historytest.OpenAt(t, path).LastSeq(); last < 8 {
		t.Errorf("only %d facts were written", last)
	}
}

// runs is how often a test does something: as a variable of the environment says, or so often.
func runs(variable string, usual int) int {
	if n, err := strconv.Atoi(os.Getenv(variable)); err == nil {
		return n
	}
	return usual
}

// killAfter starts a child, kills it after it has acknowledged some batches and
// returns the last number that it acknowledged.
func killAfter(t *testing.T, path string, batches int) (acked uint64) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childVariable+"="+path)
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = child.Wait() }() // always reports the kill
	lines := bufio.NewScanner(out)
	for n := 0; lines.Scan(); n++ {
		if n == batches {
			if err := child.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		} // and read on: acknowledgements that were under way count too
		if acked, err = strconv.ParseUint(lines.Text(), 10, 64); err != nil {
			t.Fatal(err)
		}
	}
	if acked == 0 {
		t.Fatal("the child acknowledged nothing")
	}
	return acked
}
