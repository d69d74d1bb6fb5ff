//go:build unix

package access

import "syscall"

// descriptors is how many descriptors this process may have open; 0: that is not known.
func descriptors() int {
	var limit syscall.Rlimit
	if syscall.Getrlimit(syscall.RLIMIT_NOFILE, &limit) != nil {
		return 0
	}
	return int(min(limit.Cur, 1<<20))
}
