package config

import (
	"path/filepath"
	"strings"
)

// DefaultAddress is where the daemon listens and the command line looks when
// nothing else is said: a socket in the run-time directory of the service
// manager, of the user's session, or of the system.
func DefaultAddress(getenv func(string) string) string {
	dir := "/run/gauged"
	if service := first(getenv("RUNTIME_DIRECTORY")); service != "" {
		dir = service
	} else if session := getenv("XDG_RUNTIME_DIR"); session != "" {
		dir = filepath.Join(session, "gauged")
	}
	return "unix://" + filepath.Join(dir, "gauged.sock")
}

// defaultHistory is the history's path when the configuration does not say.
func (l *loader) defaultHistory() string {
	dir := "/var/lib/gauged"
	if service := first(l.getenv("STATE_DIRECTORY")); service != "" {
		dir = service
	} else if state := l.getenv("XDG_STATE_HOME"); state != "" {
		dir = filepath.Join(state, "gauged")
	} else if home := l.getenv("HOME"); home != "" && home != "/root" {
		dir = filepath.Join(home, ".local/state/gauged")
	}
	return filepath.Join(dir, "history.db")
}

// first is the first of the directories that a service manager made; it sets colons between them.
func first(directories string) string {
	dir, _, _ := strings.Cut(directories, ":")
	return dir
}
