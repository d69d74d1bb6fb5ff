package history_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"gauged/internal/history"
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
