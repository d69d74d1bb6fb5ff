// Package traces tells a collector of OpenTelemetry what became of each job and how long it
// took: a trace for each job, from the frame of a gauge to the verdict. It follows the history,
// so that nothing waits for it. What a slow collector does not take is left out.
package traces

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/sdk/resource"
	sdk "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/tail"
)

// History is what is followed.
type History interface {
	Newest() uint64
	Watch(after uint64) *tail.Cursor
	Job(ctx context.Context, id uint64) (*job.Job, error)
}

// Store has what is stored.
type Store interface {
	// JobStarts returns the starts of jobs above a number, in their order.
	JobStarts(ctx context.Context, afterJob uint64, limit int) ([]gauge.Fact, error)
	Reading(ctx context.Context, seq uint64) (gauge.Fact, error)
	StretchOf(ctx context.Context, seq uint64) (string, error)
}

// Options are what traces are made of.
type Options struct {
	Collector Collector
	History   History
	Store     Store
	Station   string
	Version   string
	Now       func() time.Time
	Log       *slog.Logger
}

// Traces are on their way to a collector.
type Traces struct {
	o        Options
	provider *sdk.TracerProvider
	tracer   trace.Tracer
}

// New returns traces; Run sends those of what happens from now on.
func New(ctx context.Context, o Options) (*Traces, error) {
	out, err := o.Collector.exporter(ctx)
	if err != nil {
		return nil, err
	}
	otel.SetErrorHandler(&complaints{log: o.Log, now: o.Now})
	provider := sdk.NewTracerProvider(
		sdk.WithBatcher(out, sdk.WithBatchTimeout(together)), sdk.WithSampler(sdk.AlwaysSample()), sdk.WithIDGenerator(numbers{}),
		sdk.WithResource(resource.NewSchemaless(
			attribute.String("service.name", "gauged"), attribute.String("service.version", o.Version), attribute.String("service.instance.id", o.Station),
		)),
	)
	return &Traces{o: o, provider: provider, tracer: provider.Tracer("gauged")}, nil
}

// together is how long spans wait for others to be sent with.
const together = time.Second

// lastSpans is how long the last spans may take when the daemon stops.
const lastSpans = time.Second

// Run follows the history until ctx ends.
func (t *Traces) Run(ctx context.Context) {
	defer func() {
		last, cancel := context.WithTimeout(context.Background(), lastSpans)
		defer cancel()
		if err := t.provider.Shutdown(last); err != nil {
			t.o.Log.Warn("the last traces were not taken", "err", err)
		}
	}()
	cursor := t.o.History.Watch(t.o.History.Newest())
	cursor.Skip = true
	for {
		page, err := cursor.Next(ctx)
		if err != nil {
			return
		}
		now := t.o.Now()
		for _, f := range page.Facts {
			if f.Job != nil {
				t.step(ctx, f, now)
			}
		}
	}
}

// complaints are what the library has to say, once a minute at most.
type complaints struct {
	log  *slog.Logger
	now  func() time.Time
	mu   sync.Mutex
	said time.Time
}

func (c *complaints) Handle(err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if now := c.now(); now.Sub(c.said).Abs() >= time.Minute {
		c.said = now
		c.log.Warn("traces were not taken, and are left out", "err", err)
	}
}
