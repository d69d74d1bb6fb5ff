package shopfile

import (
	"fmt"
	"io"
	"os"
)

// ReadFile reads a file that a shop wrote. What is no regular file is refused before
// it is opened: to read a pipe or a device would never end.
func ReadFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s:1:1: this is no regular file (%s): put a file of text here", path, info.Mode().Type())
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, MaxSize+1)) // Parse says that it is too long
}
