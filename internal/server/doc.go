// Package server gives a station to the outside: the gRPC services of the
// contract, and the link that forwards a bench's readings to the daemon which
// evaluates them.
//
// Nothing here decides: a call becomes a request to the station, and its
// answer becomes a message.
package server
