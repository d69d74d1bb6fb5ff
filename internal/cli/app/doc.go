// Package app is what all groups of commands of gaugectl share: one call with its flags,
// the connection to the daemon, the forms of output, the reading of what is typed, and
// the exit codes. A stream that is followed runs in the goroutine of its caller; ReadLines
// owns one that reads until its input ends.
package app
