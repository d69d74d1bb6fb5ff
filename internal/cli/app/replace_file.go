package app

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// ReplaceFile puts the content in the place of a file, which is old or new after a crash.
func ReplaceFile(path string, content []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".gaugectl-*")
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	_, err = f.Write(content)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("writing %s: %w", path, err), os.Remove(f.Name()))
	}
	return nil
}
