package server

import (
	"context"
	"errors"
	"runtime/debug"

	"gauged/internal/access"
	"gauged/internal/gauge"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/station"
)

// errStopping ends the streams at shutdown.
var errStopping = refused(codes.Unavailable, gauge.Say("refusal.daemon.stopping"))

// unary turns errors and panics of a call into its status.
func (s *Server) unary(ctx context.Context, request any, info *grpc.UnaryServerInfo, handle grpc.UnaryHandler) (answer any, err error) {
	defer func() { err = s.outcome(ctx, info.FullMethod, recover(), err) }()
	if ctx, _, err = s.admit(ctx, info.FullMethod); err != nil {
		return nil, err
	}
	if err := requested(request); err != nil {
		return nil, err
	}
	if err := inOwnName(ctx, info.FullMethod, request); err != nil {
		return nil, err
	}
	if ctx, err = asked(ctx, info.FullMethod, request); err != nil {
		return nil, err
	}
	if err = s.station.Repeated(ctx); err == nil {
		answer, err = handle(ctx, request)
	}
	if repeated := (*station.RepeatedError)(nil); errors.As(err, &repeated) {
		answer, err = s.again(ctx, request, repeated.Request)
	}
	if err != nil {
		return nil, err
	}
	return answer, answered(answer)
}

// stream does the same, and ends the stream when the shutdown begins, and when its caller may
// not come in any more.
func (s *Server) stream(service any, ss grpc.ServerStream, info *grpc.StreamServerInfo, handle grpc.StreamHandler) (err error) {
	ctx, cancel := context.WithCancelCause(ss.Context())
	defer cancel(nil)
	defer context.AfterFunc(s.stopping, func() { cancel(errStopping) })()
	defer func() { err = s.outcome(ctx, info.FullMethod, recover(), err) }()
	admitted, caller, err := s.admit(ctx, info.FullMethod)
	if err != nil {
		return err
	}
	if caller.Door == access.DoorToken {
		s.guard.Watch(ctx, func() error { return s.guard.Still(caller) }, func(err error) { cancel(statusOf(err).Err()) })
	}
	return handle(service, &endingStream{ss, admitted, info.FullMethod, caller, s.guard})
}

// endingStream is a stream whose context ends when the shutdown begins.
type endingStream struct {
	grpc.ServerStream
	ctx    context.Context
	method string
	caller access.Caller
	guard  *access.Guard
}

func (s *endingStream) Context() context.Context { return s.ctx }

// still refuses a caller who may not come in any more.
func (s *endingStream) still() error {
	return s.guard.Still(s.caller)
}

// RecvMsg refuses what is too large or too much, and takes up the id of a request, as a
// call does.
func (s *endingStream) RecvMsg(m any) error {
	at := &place{into: m, ctx: s.ctx}
	defer at.leave()
	if err := s.ServerStream.RecvMsg(at); err != nil {
		return err
	}
	if err := s.still(); err != nil {
		return err
	}
	if err := requested(m); err != nil {
		return err
	}
	if err := inOwnName(s.ctx, s.method, m); err != nil {
		return err
	}
	ctx, err := asked(s.ctx, s.method, m)
	s.ctx = ctx
	return err
}

// SendMsg refuses what no message can hold.
func (s *endingStream) SendMsg(m any) error {
	if err := s.still(); err != nil {
		return err
	}
	if err := answered(m); err != nil {
		return err
	}
	return s.ServerStream.SendMsg(m)
}

// outcome is the status with which a call ends. What the caller cannot mend is
// logged here, once.
func (s *Server) outcome(ctx context.Context, method string, panicked any, err error) error {
	if panicked != nil {
		s.log.Error("a call panicked; this is a fault of the daemon", "call", method, "panic", panicked, "stack", string(debug.Stack()))
		return refused(codes.Internal, gauge.Say("refusal.daemon.fault"))
	}
	if err == nil {
		return nil
	}
	if ctx.Err() != nil {
		if cause, ok := status.FromError(context.Cause(ctx)); ok {
			return cause.Err()
		}
	}
	st := statusOf(err)
	if st.Code() == codes.Internal {
		s.log.Error("a call failed", "call", method, "error", err)
	}
	return st.Err()
}
