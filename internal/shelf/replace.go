package shelf

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"gauged/internal/gauge"
)

// replace puts a new content in the place of a file's, whole or not at all, also
// over a loss of power: another file beside it is written, forced to the disk and
// renamed. The file keeps its mode; a link goes on leading to it.
func replace(path string, content []byte) (err error) {
	path, err = filepath.EvalSymlinks(path)
	if err != nil {
		return fmt.Errorf("write the new version: %w", err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return fmt.Errorf("write the new version: %w", err)
	}
	beside, err := besides(path)
	if err != nil {
		return err
	}
	written := false
	defer func() {
		if !written {
			err = errors.Join(err, os.Remove(beside.Name()))
		}
	}()
	_, err = beside.Write(content)
	err = errors.Join(err, beside.Chmod(info.Mode().Perm()), beside.Sync(), beside.Close())
	if err == nil {
		err = os.Rename(beside.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("write the new version: %w", err)
	}
	written = true
	return syncDir(filepath.Dir(path))
}

// besides makes an empty file in the directory of path, under a name that no
// reader of *.yaml files sees.
func besides(path string) (*os.File, error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".new-*")
	if err != nil {
		return nil, fmt.Errorf("the directory of the file cannot be written by this daemon: %w", err)
	}
	return f, nil
}

// writable tries what replace needs: a rename does not ask for the mode of the
// file itself, so a file that is set read-only is left alone here.
func writable(path string) error {
	path, err := filepath.EvalSymlinks(path)
	if err != nil {
		return cannotWrite(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return cannotWrite(err)
	}
	if info.Mode().Perm()&0o222 == 0 {
		return gauge.Refused("refusal.revision.read-only", gauge.Text("path", path))
	}
	f, err := besides(path)
	if err != nil {
		return cannotWrite(err)
	}
	if err := errors.Join(f.Close(), os.Remove(f.Name())); err != nil {
		return cannotWrite(err)
	}
	return nil
}

// cannotWrite refuses a new version that the disk does not take.
func cannotWrite(err error) error {
	return gauge.Refused("refusal.revision.cannot-write", gauge.Because("why", err))
}
