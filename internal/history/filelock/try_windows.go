package filelock

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// Try locks file without waiting; busy means that somebody else has it.
// Windows keeps others from reading locked bytes, so the lock lies far behind
// the text that names the holder.
func Try(file *os.File) (busy bool, err error) {
	const flags = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	behind := windows.Overlapped{Offset: 1 << 30}
	err = windows.LockFileEx(windows.Handle(file.Fd()), flags, 0, 1, 0, &behind)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return true, nil
	}
	return false, err
}

// SyncDir does nothing: Windows offers no way to sync a directory and makes
// names durable with the file.
func SyncDir(string) error { return nil }
