// Package gauge holds the words that every other package shares: exact
// lengths and their units, readings, rejected frames, gauge states and the
// facts that the history keeps.
//
// It does no I/O, reads no clock, writes no log and starts no goroutine.
package gauge
