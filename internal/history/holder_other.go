//go:build !linux

package history

import "os"

// holds says that it is not known who has the lock.
func holds(*os.File, string) bool { return false }
