package filelock

import (
	"fmt"
	"os"
	"strings"

	"golang.org/x/sys/unix"
)

// Holds reports whether a process has the lock on a file now. The number in the file may be
// that of a process that ended, or of another machine; the kernel lists who has which lock.
func Holds(file *os.File, pid string) bool {
	var at unix.Stat_t
	locks, err := os.ReadFile("/proc/locks")
	if pid == "" || err != nil || unix.Fstat(int(file.Fd()), &at) != nil {
		return false
	}
	inode := fmt.Sprintf("%02x:%02x:%d", unix.Major(uint64(at.Dev)), unix.Minor(uint64(at.Dev)), at.Ino)
	for line := range strings.Lines(string(locks)) {
		// 1: FLOCK ADVISORY WRITE 812 00:05:131 0 EOF
		words := strings.Fields(line)
		if len(words) > 5 && words[1] == "FLOCK" && words[4] == pid && words[5] == inode {
			return true
		}
	}
	return false
}
