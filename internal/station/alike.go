package station

import (
	"context"
	"time"

	"gauged/internal/gauge"
)

// unitStore is the history as it knows the units that were worked on.
type unitStore interface {
	// RecentUnits returns the units of the newest jobs that were started from a time on, the newest first.
	RecentUnits(ctx context.Context, since time.Time, limit int) ([]gauge.Worked, error)
}

// Of so many jobs, started within so long, the units are held against a new serial number.
const (
	recentJobs = 1000
	recentTime = 90 * 24 * time.Hour
)

// Alike is the last work on another unit whose serial number may be what was meant, nil
// when there is none or when a unit with this one was worked on before.
func (s *Station) Alike(ctx context.Context, serial string) (*gauge.Worked, error) {
	units, err := s.o.Store.RecentUnits(ctx, s.o.Now().Add(-recentTime), recentJobs)
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
	known, err := s.o.Store.JobNumbers(ctx, gauge.JobQuery{Unit: serial, Limit: 1})
	if err != nil || len(known) > 0 {
		return nil, err
	}
	return found, nil
}

// meant asks back whether a serial number that looks like another one is meant.
func (s *Station) meant(ctx context.Context, r StartRequest) error {
	if r.Confirmed {
		return nil
	}
	other, err := s.Alike(ctx, r.UnitSerial)
	if err != nil || other == nil {
		return err
	}
	return gauge.Refused("refusal.serial.alike", gauge.Text("serial", r.UnitSerial), gauge.Text("other", other.Serial),
		gauge.Count("job", other.Job), gauge.Moment("worked", other.Started))
}
