package server

import (
	"context"
	"encoding/json"
	"net"

	"go.opentelemetry.io/otel/propagation"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// callerKey is under which a call from inside says by whom it is made. Nobody else can
// make a connection from inside, so what stands there is true.
const callerKey = "gauged-caller"

// Inside returns a connection of this process to the calls, which are made by the caller
// of their context. Each of them holds its own calls: see mostCalls.
func (s *Server) Inside(more ...grpc.DialOption) (*grpc.ClientConn, error) {
	return grpc.NewClient("passthrough:///inside", append([]grpc.DialOption{
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return s.inside.DialContext(ctx) }),
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithStaticStreamWindowSize(streamWindow), grpc.WithStaticConnWindowSize(connWindow),
		grpc.WithUnaryInterceptor(func(ctx context.Context, method string, request, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, o ...grpc.CallOption) error {
			ctx, err := saying(ctx)
			if err != nil {
				return err
			}
			return call(ctx, method, request, answer, conn, o...)
		}),
		grpc.WithStreamInterceptor(func(ctx context.Context, d *grpc.StreamDesc, conn *grpc.ClientConn, method string, open grpc.Streamer, o ...grpc.CallOption) (grpc.ClientStream, error) {
			ctx, err := saying(ctx)
			if err != nil {
				return nil, err
			}
			return open(ctx, d, conn, method, o...)
		}),
	}, more...)...)
}

// saying is the context of a call that says by whom it is made, and in which trace, and nothing else.
func saying(ctx context.Context) (context.Context, error) {
	caller, ok := access.From(ctx)
	if !ok {
		return nil, gauge.UnknownCaller("refusal.access.nobody")
	}
	said, err := json.Marshal(caller)
	if err != nil {
		return nil, err
	}
	trace := propagation.MapCarrier{}
	propagation.TraceContext{}.Inject(ctx, trace)
	trace.Set(callerKey, string(said))
	return metadata.NewOutgoingContext(ctx, metadata.New(trace)), nil
}

// saidInside is the caller that a call from inside names.
func saidInside(ctx context.Context) (caller access.Caller, err error) {
	said := metadata.ValueFromIncomingContext(ctx, callerKey)
	if len(said) != 1 {
		return access.Caller{}, gauge.UnknownCaller("refusal.access.nobody")
	}
	return caller, json.Unmarshal([]byte(said[0]), &caller)
}
