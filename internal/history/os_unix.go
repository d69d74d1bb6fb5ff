//go:build !windows

package history

import (
	"errors"
	"os"
	"syscall"
)

// tryLock locks file without waiting; busy means that somebody else has it.
func tryLock(file *os.File) (busy bool, err error) {
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

// syncDir makes the names in dir durable.
func syncDir(dir string) error {
	file, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}
