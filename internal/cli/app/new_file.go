package app

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// NewFile is a file that is being written. Nobody sees it under its name before it is whole.
type NewFile struct {
	file *os.File
	err  error
}

// Create begins a file in a directory.
func Create(directory string) (*NewFile, error) {
	f, err := os.CreateTemp(directory, ".gaugectl-*")
	if err != nil {
		return nil, fmt.Errorf("writing to the directory %s: %w", directory, err)
	}
	return &NewFile{file: f}, nil
}

// Write adds to it.
func (f *NewFile) Write(b []byte) (int, error) {
	n, err := f.file.Write(b)
	f.err = errors.Join(f.err, err)
	return n, err
}

// Finish puts it in the place of what has its name, in the same directory. What is there
// is the old or the new file after a crash.
func (f *NewFile) Finish(path string) error {
	err := errors.Join(f.err, f.file.Chmod(0o644), f.file.Sync(), f.file.Close())
	if err == nil {
		err = os.Rename(f.file.Name(), path)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("writing %s: %w", path, err), os.Remove(f.file.Name()))
	}
	return nil
}

// Drop leaves nothing of a file that is not finished.
func (f *NewFile) Drop() {
	if err := os.Remove(f.file.Name()); !errors.Is(err, fs.ErrNotExist) {
		_ = f.file.Close()
	}
}

// ReplaceFile puts the content in the place of a file, which is old or new after a crash.
func ReplaceFile(path string, content []byte) error {
	f, err := Create(filepath.Dir(path))
	if err != nil {
		return err
	}
	_, _ = f.Write(content) // Finish says what failed
	return f.Finish(path)
}
