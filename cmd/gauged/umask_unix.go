//go:build unix

package main

import "syscall"

// keepPrivate has every file that the daemon makes be its user's alone: what SQLite keeps
// beside a history has facts in it too. The socket gets its mode by itself.
func keepPrivate() { syscall.Umask(0o077) }
