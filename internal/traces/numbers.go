package traces

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"

	"go.opentelemetry.io/otel/trace"
)

// root is the span of a whole job in its trace. It is the same whenever it is asked for, so
// that the steps before a restart of the daemon and after it are in one trace, and those of a
// job of the same number in a history that was restored in another.
func (t *Traces) root(ctx context.Context, id uint64) (trace.SpanContext, error) {
	starts, err := t.o.Store.JobStarts(ctx, id-1, 1)
	if err != nil {
		return trace.SpanContext{}, err
	}
	stretch, err := t.o.Store.StretchOf(ctx, starts[0].Seq)
	if err != nil {
		return trace.SpanContext{}, err
	}
	sum := sha256.Sum256(binary.BigEndian.AppendUint64([]byte("job of "+stretch+" "), id))
	return trace.NewSpanContext(trace.SpanContextConfig{
		TraceID: trace.TraceID(sum[:16]), SpanID: trace.SpanID(sum[16:24]), TraceFlags: trace.FlagsSampled, Remote: true,
	}), nil
}

type rootKey struct{}

// asRoot is a context whose next span is that of a whole job.
func asRoot(ctx context.Context, root trace.SpanContext) context.Context {
	return context.WithValue(trace.ContextWithSpanContext(ctx, trace.SpanContext{}), rootKey{}, root)
}

// numbers are the ids of traces and spans: those of a job as root has them, all others by chance.
type numbers struct{}

func (n numbers) NewIDs(ctx context.Context) (id trace.TraceID, span trace.SpanID) {
	if root, is := ctx.Value(rootKey{}).(trace.SpanContext); is {
		return root.TraceID(), root.SpanID()
	}
	_, _ = rand.Read(id[:])
	return id, n.NewSpanID(ctx, id)
}

func (numbers) NewSpanID(context.Context, trace.TraceID) (span trace.SpanID) {
	_, _ = rand.Read(span[:])
	return span
}
