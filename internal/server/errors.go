package server

import (
	"context"
	"errors"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/gauge"
	"gauged/internal/wire"
)

// callError is a refusal with a code that no kind has.
type callError struct {
	code    codes.Code
	message gauge.Message
}

// refused is that a call ends with a code that no kind of refusal has.
func refused(code codes.Code, m gauge.Message) error { return &callError{code, m} }

func (e *callError) Error() string              { return e.message.String() }
func (e *callError) Tell() gauge.Message        { return e.message }
func (e *callError) GRPCStatus() *status.Status { return wire.Refusal(e.code, e.message) }

// statusOf returns the status that an error of a call is sent as.
func statusOf(err error) *status.Status {
	if st, ok := wire.StatusOf(err); ok {
		return st
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return status.FromContextError(err)
	}
	return wire.Refusal(codes.Internal, gauge.Say("refusal.daemon.fault", gauge.Because("what", err)))
}
