//go:build unix

package readfile

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// TestPipeIsNotWaitedFor: a pipe is refused, also one that was put in the place of a file
// after that was looked at.
func TestPipeIsNotWaitedFor(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, open := range []func(string) (*os.File, error){Open, opened} {
		if _, err := open(path); !errors.As(err, new(*NotRegularError)) {
			t.Error(err)
		}
	}
}
