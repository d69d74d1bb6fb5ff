package lookback

import (
	"context"
	"time"

	"gauged/internal/gauge"
)

// unitStore is the history as it knows the units that were worked on.
type unitStore interface {
	// RecentUnits returns the units of the newest jobs that were started from a time on, the newest first.
	RecentUnits(ctx context.Context, since time.Time, limit int) ([]gauge.Worked, error)
	JobNumbers(ctx context.Context, q gauge.JobQuery) ([]uint64, error)
}

// Of so many jobs, started within so long, the units are held against a new serial number.
const (
	recentJobs = 1000
	recentTime = 90 * 24 * time.Hour
)

// Alike is the last work on another unit whose serial number may be what was meant, nil
// when there is none or when a unit with this one was worked on before.
func (r *Reader) Alike(ctx context.Context, serial string) (*gauge.Worked, error) {
	units, err := r.store.RecentUnits(ctx, r.now().Add(-recentTime), recentJobs)
	if err != nil {
		return nil, err
	}
	var found *gauge.Worked
	for i, u := range units {
		if gauge.SameSerial(u.Serial, serial) {
			return nil, nil
		}
		if found == nil && gauge.SerialsAlike(u.Serial, serial) {
			found = &units[i]
		}
	}
	if found == nil {
		return nil, nil
	}
	known, err := r.store.JobNumbers(ctx, gauge.JobQuery{Unit: serial, Limit: 1})
	if err != nil || len(known) > 0 {
		return nil, err
	}
	return found, nil
}
