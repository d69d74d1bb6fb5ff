// Package filelock is what each operating system does of its own for the file of a history:
// locking it, saying who has the lock, and making names in a directory durable.
package filelock
