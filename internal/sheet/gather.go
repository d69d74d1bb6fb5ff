package sheet

import (
	"context"
	"errors"
	"maps"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/history/chain"
	"gauged/internal/job"
	"gauged/internal/station"
)

// Station is what a sheet is made from.
type Station interface {
	Job(ctx context.Context, id uint64) (*job.Job, error)
	Course(ctx context.Context, id uint64) ([]job.CourseStep, error)
	Gauge(id string) (station.GaugeStatus, error)
	Health(id string) (*health.Gauge, error)
	Checks(ctx context.Context, id string) ([]*check.Record, error)
	Head() chain.Head
}

// Gather returns what the sheet of a job tells of; name is that of the station.
func Gather(ctx context.Context, st Station, name string, id uint64) (Input, error) {
	j, err := st.Job(ctx, id)
	if err != nil {
		return Input{}, err
	}
	in := Input{Station: name, Job: j, Record: st.Head().Grouped()}
	if in.Course, err = st.Course(ctx, id); err != nil {
		return in, err
	}
	for _, gaugeID := range slices.Compact(slices.Sorted(maps.Values(j.Gauges))) {
		status, _ := st.Gauge(gaugeID) // nothing, of one that the station does not have any more
		g := Gauge{GaugeInfo: status.GaugeInfo}
		g.ID = gaugeID
		if g.Health, err = st.Health(gaugeID); err != nil && !errors.Is(err, gauge.ErrNotFound) {
			return in, err
		}
		if g.Checks, err = st.Checks(ctx, gaugeID); err != nil && !errors.Is(err, gauge.ErrNotFound) && !errors.As(err, new(*health.Damaged)) {
			return in, err
		}
		in.Gauges = append(in.Gauges, g)
	}
	return in, nil
}
