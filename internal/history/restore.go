package history

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"gauged/internal/history/chain"
	"gauged/internal/history/filelock"
)

// Restore puts a verified copy in the place of a history that nobody has open. What is
// there is moved aside, with the time in its name; aside is where it is then, empty where
// nothing was there.
func Restore(ctx context.Context, from, to string, now time.Time) (v *chain.Verification, aside string, err error) {
	v, aside, err = restore(ctx, from, to, now)
	if err != nil {
		return nil, aside, fmt.Errorf("restore history %s from %s: %w", to, from, err)
	}
	return v, aside, nil
}

func restore(ctx context.Context, from, to string, now time.Time) (v *chain.Verification, aside string, err error) {
	if v, err = CheckFile(ctx, from); err != nil {
		return nil, "", err
	}
	if v.Difference != nil {
		return nil, "", fmt.Errorf("%w: %s", ErrDamaged, v.Difference)
	}
	if info, err := os.Stat(from + "-wal"); err == nil && info.Size() > 0 {
		return nil, "", fmt.Errorf("there is %s-wal beside it: it is no copy that a backup made, and what the log has would be missing", from)
	}
	lock, err := acquireLock(to)
	if err != nil {
		return nil, "", err
	}
	defer func() { err = errors.Join(err, lock.Close()) }()
	if _, err := os.Stat(to); err == nil {
		file, err := lockDatabase(place{path: to})
		if err != nil {
			return nil, "", err
		}
		if file != nil {
			defer func() { err = errors.Join(err, file.Close()) }()
		}
	}
	unfinished := to + ".restoring"
	if err := copyFile(from, unfinished); err != nil {
		return nil, "", errors.Join(err, os.Remove(unfinished))
	}
	if aside, err = moveAside(to, now); err != nil {
		return nil, "", err
	}
	if err := os.Rename(unfinished, to); err != nil {
		return nil, aside, err
	}
	return v, aside, filelock.SyncDir(filepath.Dir(to))
}

// moveAside gives a history and its log another name; it is empty where nothing was there.
// A log alone goes too: beside another history it would be read as that one's.
func moveAside(path string, now time.Time) (aside string, err error) {
	name := path + ".before-" + now.UTC().Format("20060102T150405Z")
	for _, suffix := range []string{"-wal", "-shm", ""} { // the log first: without its history nothing reads it
		err := os.Rename(path+suffix, name+suffix)
		switch {
		case err == nil:
			aside = name
		case !errors.Is(err, fs.ErrNotExist):
			return "", err
		}
	}
	return aside, nil
}

func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, in.Close()) }()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, private)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}
