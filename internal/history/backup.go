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

// copyTo copies through a reader, which may only query otherwise: SQLite counts
// writing the copy as more than that.
func (s *Store) copyTo(ctx context.Context, path string) error {
	r, err := s.borrow(ctx)
	if err != nil {
		return err
	}
	defer s.giveBack(r)
	idle := r.conn.SetInterrupt(ctx)
	err = r.conn.Exec("PRAGMA query_only = OFF; VACUUM INTO " + sqlite3.Quote(path))
	r.conn.SetInterrupt(idle)
	return errors.Join(err, r.conn.Exec("PRAGMA query_only = ON"))
}

func syncFile(path string) error {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}
