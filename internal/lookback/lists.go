package lookback

import (
	"context"

	"gauged/internal/gauge"
)

// listStore is the history as lists are read from it.
type listStore interface {
	ReadingsOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error)
	RejectsOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error)
	StatesOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error)
	GaugeFactsOf(ctx context.Context, kind string, q gauge.Query) ([]gauge.Fact, error)
}

// Readings returns the stored readings that a query chooses.
func (r *Reader) Readings(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return r.ofGauge(ctx, q, r.store.ReadingsOf)
}

// Rejects returns the rejected frames that a query chooses.
func (r *Reader) Rejects(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return r.ofGauge(ctx, q, r.store.RejectsOf)
}

// States returns the changes of states of gauges that a query chooses.
func (r *Reader) States(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return r.ofGauge(ctx, q, r.store.StatesOf)
}

// ofGauge reads stored facts. A gauge that is not configured and of which the
// history has none is no gauge without readings: its name is mistyped.
func (r *Reader) ofGauge(ctx context.Context, q gauge.Query, read func(context.Context, gauge.Query) ([]gauge.Fact, error)) ([]gauge.Fact, error) {
	facts, err := read(ctx, q)
	if err != nil || len(facts) > 0 {
		return facts, err
	}
	return nil, r.Knows(ctx, q.Gauge)
}

// Knows gives the error of a gauge that is not configured and never was: there is no
// reading of it. No name stands for all gauges.
func (r *Reader) Knows(ctx context.Context, id string) error {
	if id == "" {
		return nil
	}
	_, missing := r.station.Beforehand(id)
	if missing == nil {
		return nil
	}
	if known, err := r.store.ReadingsOf(ctx, gauge.Query{Gauge: id, Limit: 1}); err != nil || len(known) > 0 {
		return err
	}
	return missing
}
