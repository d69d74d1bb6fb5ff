package station

import (
	"context"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/lookback"
	"gauged/internal/proof"
	"gauged/internal/tail"
)

// Store is the durable history. What commits needs the methods that stand here; each part
// that reads states in an interface of its own what it reads.
type Store interface {
	// Append stores facts whose numbers continue LastSeq, and the requests that asked for
	// them, all or none.
	Append(ctx context.Context, facts []gauge.Fact, requests ...gauge.Request) error
	// ID is the random identity of the history.
	ID() string
	// Stretch is the random identity of the numbers that are given out since the start.
	Stretch() string
	// Holds reports whether a number that was given out when a stretch was the newest stands for the same now.
	Holds(ctx context.Context, stretch string, seq uint64) (bool, error)
	// Facts returns facts of all kinds that follow one.
	Facts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error)
	LastReadings(ctx context.Context) (map[string]gauge.Fact, error)
	SourceSeq(ctx context.Context, source string) (uint64, error)
	// SentAs returns what a sender's numbers were stored as, readings and rejects.
	SentAs(ctx context.Context, source string, numbers []uint64) (map[uint64]gauge.Fact, error)
	HasFile(ctx context.Context, hash string) (bool, error)
	// FileVersions returns versions, without their content, and releases of a file.
	FileVersions(ctx context.Context, kind, name string) ([]gauge.Fact, error)

	accessStore
	proof.Store
	tail.Store
	requestStore
	job.FileStore
	jobStore
	job.StartStore
	foldStore
	lookback.Store
}
