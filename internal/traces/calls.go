package traces

import (
	"strings"

	"go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc"
	"go.opentelemetry.io/otel/propagation"
	"google.golang.org/grpc/stats"
)

// Calls makes a span of each call, in the trace of its caller where that says one (W3C Trace
// Context, header traceparent).
func (t *Traces) Calls() stats.Handler {
	return otelgrpc.NewServerHandler(
		otelgrpc.WithTracerProvider(t.provider), otelgrpc.WithPropagators(propagation.TraceContext{}),
		otelgrpc.WithFilter(func(call *stats.RPCTagInfo) bool { return !strings.HasPrefix(call.FullMethodName, "/grpc.") }),
	)
}
