// Package readfile reads files that others named: regular ones, and no more of them than was
// said. To read a pipe or a device would never end.
package readfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
)

// NotRegularError is that a path leads to no regular file.
type NotRegularError struct {
	Path string
	Mode fs.FileMode
}

// Error says what is there instead.
func (e *NotRegularError) Error() string {
	return fmt.Sprintf("%s is no regular file, but %s: name a file", e.Path, e.Mode.Type())
}

// ErrTooLong is that a file is longer than it may be.
var ErrTooLong = errors.New("the file is too long")

// Open opens a regular file for reading. What is none is not even opened.
func Open(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err == nil {
		err = regular(path, info.Mode())
	}
	if err != nil {
		return nil, err
	}
	return opened(path)
}

// opened opens what a path leads to now. Another may have been put there since it was looked
// at, so the opening does not wait for one who writes, and what is open is looked at.
func opened(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil {
		err = regular(path, info.Mode())
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

func regular(path string, mode fs.FileMode) error {
	switch {
	case mode.IsRegular():
		return nil
	case mode.IsDir():
		return &fs.PathError{Op: "read", Path: path, Err: syscall.EISDIR}
	}
	return &NotRegularError{path, mode}
}

// UpTo reads so many bytes of a regular file, or all that it has.
func UpTo(path string, bytes int64) ([]byte, error) {
	f, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	return io.ReadAll(io.LimitReader(f, bytes))
}

// Whole reads a regular file that has so many bytes at most, in place of os.ReadFile.
func Whole(path string, most int64) ([]byte, error) {
	content, err := UpTo(path, most+1)
	if err == nil && int64(len(content)) > most {
		return nil, fmt.Errorf("%s: %w: it has more than %d bytes", path, ErrTooLong, most)
	}
	return content, err
}
