package shopfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestReadFile: what is no regular file is not even opened, and of a long one no more
// is read than tells that it is too long.
func TestReadFile(t *testing.T) {
	if _, err := ReadFile("/dev/zero"); err == nil || !strings.HasPrefix(err.Error(), "/dev/zero:1:1: this is no regular file (") {
		t.Error(err)
	}
	path := filepath.Join(t.TempDir(), "long.yaml")
	if err := os.WriteFile(path, make([]byte, 3*MaxSize), 0o600); err != nil {
		t.Fatal(err)
	}
	content, err := ReadFile(path)
	if err != nil || len(content) != MaxSize+1 || !strings.Contains(Parse(path, content).Err().Error(), "at most") {
		t.Errorf("%d bytes, %v", len(content), err)
	}
}
