package config

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// CannotKeep says why who runs this cannot keep the history where the configuration says,
// and what to do; empty: they can. Nothing is made or changed. Another user may be able
// to, so that it is no problem of the configuration.
func (c *Config) CannotKeep() string {
	dir := filepath.Dir(c.History)
	there := dir // the nearest directory that is there: those below it would be made
	info, err := os.Stat(there)
	for errors.Is(err, fs.ErrNotExist) && there != filepath.Dir(there) {
		there = filepath.Dir(there)
		info, err = os.Stat(there)
	}
	switch {
	case err != nil:
	case !info.IsDir():
		err = fmt.Errorf("%s is not a directory", there)
	default:
		err = mayWrite(there)
	}
	if err == nil {
		return ""
	}
	return fmt.Sprintf("the history cannot be kept at %s by the user who runs this (number %d; %v): if the daemon runs as this user, make the directory %s and give it to them, or name another place under history:",
		c.History, os.Getuid(), err, dir)
}
