package history

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history/chain"
	"gauged/internal/history/filelock"
)

// Backup writes a durable copy of the history as it is now to path, which must
// not exist yet, and verifies it. Facts may be appended meanwhile; they are not in
// the copy. It opens like any history and has the same ID. The answer says where it ends, and how
// many bytes it has.
func (s *Store) Backup(ctx context.Context, path string) (v *chain.Verification, size int64, err error) {
	v, err = s.backup(ctx, path)
	var info os.FileInfo
	if err == nil {
		info, err = os.Stat(path)
	}
	if err != nil {
		return nil, 0, fmt.Errorf("back up history %s to %s: %w", s.place.path, path, err)
	}
	return v, info.Size(), nil
}

func (s *Store) backup(ctx context.Context, path string) (v *chain.Verification, err error) {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return nil, errors.Join(fs.ErrExist, err)
	}
	// The copy gets its name when it is whole and on the disk.
	dir, err := os.MkdirTemp(filepath.Dir(path), ".gauged-backup-")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	unfinished := filepath.Join(dir, "copy")
	if err := s.copyTo(ctx, unfinished); err != nil {
		return nil, err
	}
	if err := os.Chmod(unfinished, private); err != nil {
		return nil, err
	}
	if err := syncFile(unfinished); err != nil {
		return nil, err
	}
	if v, err = CheckFile(ctx, unfinished); err != nil {
		return nil, err
	}
	if v.Difference != nil {
		return nil, fmt.Errorf("%w: %s; what is damaged is not taken for a copy", ErrDamaged, v.Difference)
	}
	if err := os.Rename(unfinished, path); err != nil {
		return nil, err
	}
	return v, filelock.SyncDir(filepath.Dir(path))
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
