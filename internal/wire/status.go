package wire

import (
	"errors"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/gauge"
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

// StatusOf returns the status that an error of the station is sent as: code and arguments
// of its message as details, and its sentence in English. ok is false for one that is none
// of the kinds, and was sent by nobody.
func StatusOf(err error) (st *status.Status, ok bool) {
	if st, ok := status.FromError(err); ok {
		return st, true
	}
	for _, k := range kinds {
		if errors.Is(err, k.err) {
			return Refusal(k.code, gauge.Told(err)), true
		}
	}
	return nil, false
}
