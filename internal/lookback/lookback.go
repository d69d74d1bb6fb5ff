// Package lookback reads the history for what health computes from it: recalls, signs
// of a fault, and the errors of the gauges as the jobs show them. It stores nothing.
package lookback

import (
	"context"
	"time"

	"gauged/internal/health/check"
	"gauged/internal/health/signs"
	"gauged/internal/job"
)

// Store is the history as looks back read it.
type Store interface {
	job.Store
	signStore
	recallStore
	job.StartStore
	listStore
	unitStore
}

// Station is the present, as far as a look back needs it.
type Station interface {
	// LastJob is the number of the newest job.
	LastJob() uint64
	// Checks are those of a gauge that count, oldest first.
	Checks(ctx context.Context, gaugeID string) ([]*check.Record, error)
	// Beforehand is what is known of a gauge beforehand, or gauge.ErrNotFound.
	Beforehand(gaugeID string) (signs.Gauge, error)
	// News is what happened since it was last called.
	News() News
}

// News is what may say something new of the gauges.
type News struct {
	Jobs  map[uint64]*job.Job // that compare a predicted play with a measured one
	Check bool                // a check was made or voided, or something else happened to a gauge
}

// Reader looks back. What is computed is kept until something new is said.
type Reader struct {
	store   Store
	station Station
	now     func() time.Time
	work    work
	looks   looks

	// Quarantine are the jobs that were found damaged.
	Quarantine job.Quarantine
}

// New returns a reader of a history and the present that goes with it.
func New(store Store, station Station, now func() time.Time) *Reader {
	return &Reader{store: store, station: station, now: now, looks: looks{files: job.NewFiles(store)}}
}
