package readfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// TestWhole: a file comes whole or not at all, and what is none is refused at once.
func TestWhole(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, []byte("12345"), 0o600); err != nil {
		t.Fatal(err)
	}
	if content, err := Whole(path, 5); err != nil || string(content) != "12345" {
		t.Errorf("%q, %v", content, err)
	}
	if content, err := Whole(path, 4); !errors.Is(err, ErrTooLong) || content != nil {
		t.Errorf("%q, %v", content, err)
	}
	if content, err := UpTo(path, 4); err != nil || string(content) != "1234" {
		t.Errorf("%q, %v", content, err)
	}
	if _, err := Whole(path+".none", 5); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
	if _, err := Whole(os.DevNull, 5); !errors.As(err, new(*NotRegularError)) {
		t.Error(err)
	}
	if _, err := Whole(filepath.Dir(path), 5); !errors.Is(err, syscall.EISDIR) {
		t.Error(err)
	}
}
