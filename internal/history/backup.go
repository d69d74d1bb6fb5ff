package history

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/ncruces/go-sqlite3"
)

// Backup writes a durable copy of the history as it is now to path, which must
// not exist yet. Facts may be appended meanwhile; they are not in the copy. It
// opens like any history and has the same ID.
func (s *Store) Backup(ctx context.Context, path string) error {
	if s.isClosing() {
		return ErrClosed
	}
	if err := s.backup(ctx, path); err != nil {
		return fmt.Errorf("back up history %s to %s: %w", s.place.path, path, err)
	}
	return nil
}

func (s *Store) backup(ctx context.Context, path string) (err error) {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(fs.ErrExist, err)
	}
	// The copy gets its name when it is whole and on the disk.
	dir, err := os.MkdirTemp(filepath.Dir(path), ".gauged-backup-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	unfinished := filepath.Join(dir, "copy")
	if err := s.copyTo(ctx, unfinished); err != nil {
		return err
	}
	if err := syncFile(unfinished); err != nil {
		return err
	}
	if err := os.Rename(unfinished, path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// copyTo copies through a connection of its own, because it takes long and
// because a connection that may only query cannot write the copy.
func (s *Store) copyTo(ctx context.Context, path string) (err error) {
	conn, err := s.place.connect("ro", writerPragmas())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closeConn(conn)) }()
	conn.SetInterrupt(ctx)
	return conn.Exec("VACUUM INTO " + sqlite3.Quote(path))
}

func syncFile(path string) error {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}
