package server

import (
	"context"
	"errors"
	"strings"

	"gauged/internal/gauge"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// kinds are the station's errors with the codes that tell them apart over the wire.
var kinds = []struct {
	err  error
	code codes.Code
}{
	{gauge.ErrNotFound, codes.NotFound},
	{gauge.ErrRefused, codes.FailedPrecondition},
	{gauge.ErrInput, codes.InvalidArgument},
	{gauge.ErrStopped, codes.Unavailable},
}

// statusOf returns the status that an error of the station is sent as. The
// code says the kind, so the text need not begin with it.
func statusOf(err error) *status.Status {
	st := kindOf(err)
	if text := st.Message(); len(text) > longestStatus {
		return status.New(st.Code(), strings.ToValidUTF8(text[:longestStatus], "")+" ...")
	}
	return st
}

// longestStatus is how many bytes of a text are sent: clients take no more than 8 KiB
// of what stands beside an answer, and write some bytes as three.
const longestStatus = 2400

func kindOf(err error) *status.Status {
	if st, ok := status.FromError(err); ok {
		return st
	}
	for _, k := range kinds {
		if errors.Is(err, k.err) {
			return status.New(k.code, strings.TrimPrefix(err.Error(), k.err.Error()+": "))
		}
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return status.FromContextError(err)
	}
	return status.New(codes.Internal, err.Error())
}
