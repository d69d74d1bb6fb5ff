//go:build unix

package shopfile

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestReadOpened: a pipe that was put in the place of a file after that was looked at is
// not waited for.
func TestReadOpened(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe.yaml")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, read := range []func(string) ([]byte, error){ReadFile, readOpened} {
		if _, err := read(path); err == nil || !strings.HasPrefix(err.Error(), path+":1:1: this is no regular file (p") {
			t.Error(err)
		}
	}
}
