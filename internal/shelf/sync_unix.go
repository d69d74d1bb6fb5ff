//go:build !windows

package shelf

import (
	"errors"
	"os"
)

// syncDir makes a rename in a directory durable.
func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
