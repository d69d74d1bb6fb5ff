package server

import (
	"context"
	"errors"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/gauge"
	"gauged/internal/wire"
)

// kinds are the kinds of refusals with the codes that tell them apart over the wire.
var kinds = []struct {
	err  error
	code codes.Code
}{
	{gauge.ErrNotFound, codes.NotFound},
	{gauge.ErrRefused, codes.FailedPrecondition},
	{gauge.ErrInput, codes.InvalidArgument},
	{gauge.ErrStopped, codes.Unavailable},
	{gauge.ErrUnknown, codes.Unauthenticated},
	{gauge.ErrForbidden, codes.PermissionDenied},
}

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

// statusOf returns the status that an error of the station is sent as: code and
// arguments of its message as details, and its sentence in English.
func statusOf(err error) *status.Status {
	if st, ok := status.FromError(err); ok {
		return st
	}
	for _, k := range kinds {
		if errors.Is(err, k.err) {
			return wire.Refusal(k.code, gauge.Told(err))
		}
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return status.FromContextError(err)
	}
	return wire.Refusal(codes.Internal, gauge.Say("refusal.daemon.fault", gauge.Because("what", err)))
}
