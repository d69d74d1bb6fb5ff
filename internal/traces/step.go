package traces

import (
	"context"
	"time"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/trace"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// step tells of one fact of a job, which was seen by who watches at a time. A span carries
// neither names of people nor serial numbers nor labels.
func (t *Traces) step(ctx context.Context, f gauge.Fact, out time.Time) {
	root, err := t.root(ctx, f.Job.Job)
	if err != nil {
		t.o.Log.Warn("a step of a job is not told to the collector of traces", "job", f.Job.Job, "err", err)
		return
	}
	ctx = trace.ContextWithRemoteSpanContext(ctx, root)
	about := []attribute.KeyValue{attribute.Int64("gauged.job", int64(f.Job.Job)), attribute.Int64("gauged.seq", int64(f.Seq))}
	switch seq := job.TakenBy(f); {
	case seq > 0:
		t.reading(ctx, seq, f.Job, out, about)
	case f.Job.Kind == job.KindVerdict:
		if outcome, is := job.Verdict(f); is {
			about = append(about, attribute.String("gauged.outcome", string(outcome)))
		}
		t.span(ctx, f.Job.Kind, f.Job.Time, out, about...)
	default:
		t.span(ctx, f.Job.Kind, f.Job.Time, out, about...)
	}
	if f.Job.Kind == job.KindClosed {
		t.whole(ctx, root, f.Job.Job, out, about)
	}
}

// reading tells of a reading that was taken: how long from the first byte of its frame until
// it was taken into the job, and from then until it was stored and out.
func (t *Traces) reading(ctx context.Context, seq uint64, f *gauge.JobFact, out time.Time, about []attribute.KeyValue) {
	found, err := t.o.Store.Reading(ctx, seq)
	if err != nil || found.Reading == nil {
		return
	}
	r := found.Reading
	about = append(about, attribute.Int64("gauged.reading", int64(seq)), attribute.String("gauged.gauge", r.Gauge),
		attribute.String("gauged.shown", r.Shown), attribute.String("gauged.unit", r.Unit.String()))
	if data, err := job.Unmarshal[job.TakenData](f); err == nil {
		about = append(about, attribute.String("gauged.measurement", data.Measurement))
	}
	inside := t.span(ctx, "reading", r.Time, out, about...)
	t.span(inside, "take", r.Time, f.Time)
	t.span(inside, "store", f.Time, out)
}

// whole tells of a job that is closed: the span above all of its steps.
func (t *Traces) whole(ctx context.Context, root trace.SpanContext, id uint64, out time.Time, about []attribute.KeyValue) {
	j, err := t.o.History.Job(ctx, id)
	if err != nil {
		return
	}
	about = append(about, attribute.String("gauged.procedure", j.Procedure.ID), attribute.String("gauged.outcome", string(j.Evaluation.Outcome)), attribute.Int("gauged.rounds", 1+len(j.Rounds)))
	t.span(asRoot(ctx, root), "job", j.Started, out, about...)
}

// span tells of something that took from one time to another.
func (t *Traces) span(ctx context.Context, name string, from, until time.Time, about ...attribute.KeyValue) context.Context {
	if until.Before(from) { // the clock was set back
		until = from
	}
	ctx, span := t.tracer.Start(ctx, name, trace.WithTimestamp(from), trace.WithAttributes(about...))
	span.End(trace.WithTimestamp(until))
	return ctx
}
