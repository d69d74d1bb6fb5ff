//go:build unix

package shopfile

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestReadPipe: a pipe is not waited for.
func TestReadPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe.yaml")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadFile(path); err == nil || !strings.HasPrefix(err.Error(), path+":1:1: this is no regular file (p") {
		t.Error(err)
	}
}
