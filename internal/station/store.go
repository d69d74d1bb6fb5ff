package station

import (
	"context"
	"time"

	"gauged/internal/gauge"
)

// Store is the durable history as the station needs it.
type Store interface {
	// Append stores facts whose numbers continue LastSeq, all or none.
	Append(ctx context.Context, facts []gauge.Fact) error
	LastSeq() uint64
	// ID is the random identity of the history.
	ID() string
	Facts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error)
	Readings(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
	// RecentReadings returns the newest readings of a gauge, oldest first.
	RecentReadings(ctx context.Context, gaugeID string, count int) ([]gauge.Fact, error)
	Rejects(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
	Reading(ctx context.Context, seq uint64) (gauge.Fact, error)
	JobFacts(ctx context.Context, job uint64) ([]gauge.Fact, error)
	// JobsWithout returns the numbers of the jobs that have no fact of a kind.
	JobsWithout(ctx context.Context, kind string) ([]uint64, error)
	// JobStarts returns the starts of the jobs after one, in rising order.
	JobStarts(ctx context.Context, afterJob uint64, limit int) ([]gauge.Fact, error)
	// StartsWith returns the starts of a span of jobs that took a reading of a gauge.
	StartsWith(ctx context.Context, gaugeID string, since time.Time, afterJob, span uint64) ([]gauge.Fact, error)
	// RecentWith returns the starts of the newest jobs that took a reading of a gauge, in rising order.
	RecentWith(ctx context.Context, gaugeID string, count int) ([]gauge.Fact, error)
	// StepsOf returns the steps of several jobs from their starts on, without those of a kind.
	StepsOf(ctx context.Context, starts []gauge.Fact, without string) ([][]gauge.Fact, error)
	// ReadingsAt returns several readings by their numbers in the history.
	ReadingsAt(ctx context.Context, seqs []uint64) ([]gauge.Fact, error)
	LastJob(ctx context.Context) (uint64, error)
	File(ctx context.Context, hash string) (gauge.File, error)
	// FileVersions returns versions, without their content, and releases of a file.
	FileVersions(ctx context.Context, kind, name string) ([]gauge.Fact, error)
	HasFile(ctx context.Context, hash string) (bool, error)
	// GaugeFacts returns what happened to a gauge, or to all, after a number.
	GaugeFacts(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
	// RecentGaugeFacts returns the newest things that happened to a gauge, oldest first.
	RecentGaugeFacts(ctx context.Context, gaugeID string, count int) ([]gauge.Fact, error)
	LastReadings(ctx context.Context) (map[string]gauge.Fact, error)
	SourceSeq(ctx context.Context, source string) (uint64, error)
	// SentAs returns what a sender's numbers were stored as, readings and rejects.
	SentAs(ctx context.Context, source string, numbers []uint64) (map[uint64]gauge.Fact, error)
}
