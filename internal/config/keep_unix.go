//go:build unix

package config

import (
	"fmt"

	"golang.org/x/sys/unix"
)

// mayWrite is why who runs this may not make a file in a directory; nil: they may.
func mayWrite(dir string) error {
	if err := unix.Access(dir, unix.W_OK|unix.X_OK); err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	return nil
}
