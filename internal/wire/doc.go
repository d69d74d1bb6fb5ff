// Package wire turns our own values into those of the contract, and back: what
// daemon and command line both need, without a station. Its functions are pure; a
// nil or zero value becomes an absent field.
package wire
