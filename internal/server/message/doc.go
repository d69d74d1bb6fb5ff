// Package message turns what the station holds and has stored into the messages of the
// contract, and what is sent in back. Its functions are pure; a nil or zero value
// becomes an absent field.
package message
