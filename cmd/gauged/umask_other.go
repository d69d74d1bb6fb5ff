//go:build !unix

package main

// keepPrivate does nothing: other systems have no mask of modes.
func keepPrivate() {}
