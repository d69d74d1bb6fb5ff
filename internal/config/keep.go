package config

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"gauged/internal/gauge"
)

// CannotKeep says why who runs this cannot keep the history where the configuration says,
// and what to do; zero: they can. Nothing is made or changed. Another user may be able
// to, so that it is no problem of the configuration.
func (c *Config) CannotKeep() gauge.Message {
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
		err = gauge.WrongInput("station.no-directory", gauge.Text("path", there))
	default:
		err = mayWrite(there)
	}
	if err == nil {
		return gauge.Message{}
	}
	return gauge.Say("station.cannot-keep", gauge.Text("history", c.History), gauge.Count("user", os.Getuid()), gauge.Because("why", err), gauge.Text("directory", dir))
}
