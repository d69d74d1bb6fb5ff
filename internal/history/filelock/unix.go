//go:build !windows

package filelock

import (
	"errors"
	"os"
	"syscall"
)

// Try locks file without waiting; busy means that somebody else has it.
func Try(file *os.File) (busy bool, err error) {
	for {
		err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return true, nil
	}
	return false, err
}

// SyncDir makes the names in dir durable.
func SyncDir(dir string) error {
	file, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}
