package shopfile

import (
	"errors"
	"io/fs"
	"syscall"

	"gauged/internal/gauge"
	"gauged/internal/readfile"
)

// ReadFile reads a file that a shop wrote, at most MaxSize bytes and one more: Parse says that
// it is too long. What is no regular file is refused.
func ReadFile(path string) ([]byte, error) {
	content, err := readfile.UpTo(path, MaxSize+1)
	mode := fs.ModeDir
	if other := (*readfile.NotRegularError)(nil); errors.As(err, &other) {
		mode = other.Mode
	} else if !errors.Is(err, syscall.EISDIR) {
		return content, err
	}
	return nil, Problem{path, 1, 1, gauge.Say("entry.no-regular-file", gauge.Text("mode", mode.Type().String()))}
}
