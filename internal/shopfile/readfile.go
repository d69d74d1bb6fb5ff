package shopfile

import (
	"io"
	"os"
	"syscall"

	"gauged/internal/gauge"
)

// ReadFile reads a file that a shop wrote, at most MaxSize bytes and one more. What is no
// regular file is refused before it is opened: to read a pipe or a device would never end.
func ReadFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if err := regular(path, info); err != nil {
		return nil, err
	}
	return readOpened(path)
}

// readOpened reads what a path leads to now. Another may have been put there since it was
// looked at, so the opening does not wait for one who writes, and what is open is looked at.
func readOpened(path string) ([]byte, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if err := regular(path, info); err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(f, MaxSize+1)) // Parse says that it is too long
}

func regular(path string, info os.FileInfo) error {
	if info.Mode().IsRegular() {
		return nil
	}
	return Problem{path, 1, 1, gauge.Say("entry.no-regular-file", gauge.Text("mode", info.Mode().Type().String()))}
}
