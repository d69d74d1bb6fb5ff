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
	AllChecks(ctx context.Context, id string) ([]*check.Record, error)
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

// GatherCheck returns what the sheet of a check tells of; 0 is the newest that counts.
func GatherCheck(ctx context.Context, st Station, of House, gaugeID string, seq uint64) (CheckInput, error) {
	all, err := st.AllChecks(ctx, gaugeID)
	if err != nil {
		return CheckInput{}, err
	}
	status, err := st.Gauge(gaugeID)
	if err != nil {
		return CheckInput{}, err
	}
	counts := func(c *check.Record) bool { return c.Voided == nil && !c.Zero }
	at := slices.IndexFunc(all, func(c *check.Record) bool { return c.Seq == seq })
	if seq == 0 {
		for i, c := range all {
			if counts(c) {
				at = i
			}
		}
	}
	switch {
	case at < 0 && seq == 0:
		return CheckInput{}, gauge.NotFound("refusal.document.no-check", gauge.Text("gauge", gaugeID))
	case at < 0:
		return CheckInput{}, gauge.NotFound("refusal.check.missing", gauge.Count("check", seq), gauge.Text("gauge", gaugeID))
	}
	in := CheckInput{House: of, Gauge: status.GaugeInfo, Check: all[at], Record: st.Head().Grouped()}
	if next := slices.IndexFunc(all[at+1:], counts); next >= 0 {
		in.Next = all[at+1+next]
	}
	return in, nil
}
