// Package message turns the project's own values into the messages of the
// contract, and back. Its functions are pure; a nil or zero value becomes an
// absent field.
package message
