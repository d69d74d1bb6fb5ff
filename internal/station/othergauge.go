package station

import (
	"context"
	"maps"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// GaugesRequest gives measurements of a job on the bench other gauges.
type GaugesRequest struct {
	Job    uint64
	By     string // empty: the technician of the job
	Reason string // needed
	// Gauges are the others, by measurement; an empty one: it is typed in. What was read before
	// is discarded for the reason: a mean of two gauges is that of neither.
	Gauges map[string]string
}

// ChangeGauges has a job go on with other gauges. All of them are changed, or none: where one
// cannot serve, the job stays as it is. Without any other gauge nothing is stored.
func (s *Station) ChangeGauges(ctx context.Context, r GaugesRequest) (*job.Job, error) {
	why, by := strings.TrimSpace(r.Reason), strings.TrimSpace(r.By)
	if why == "" {
		return nil, gauge.WrongInput("refusal.gauges.why", gauge.Count("job", r.Job))
	}
	before, err := s.Job(ctx, r.Job)
	if err != nil {
		return nil, err
	}
	others, err := s.others(ctx, before, r.Gauges)
	if err != nil {
		return nil, err
	}
	return s.change(ctx, func(d *draft) (*job.Job, error) {
		j, err := d.openJob(r.Job)
		if err != nil || len(others.Gauges) == 0 {
			return j, err
		}
		data := job.GaugesData{Gauges: others.Gauges, Before: j.GaugesAt(others.Gauges), Reason: why, Abilities: others.Abilities, Typed: others.Typed, Warnings: others.Warnings}
		for _, id := range slices.Sorted(maps.Keys(job.GaugesOf(data.Gauges))) {
			if err := d.mayServe(j, id); err != nil {
				return nil, gauge.Refused("refusal.gauges.gauge", gauge.Count("job", j.ID), gauge.Text("gauge", id), gauge.Because("why", err))
			}
		}
		if j, err = d.stepOf(j, job.KindGauges, by, data); err != nil {
			return nil, err
		}
		return d.measureAgain(j, data.Gauges, why, by)
	})
}

// mayServe refuses a gauge that a job cannot have now; empty is none.
func (d *draft) mayServe(j *job.Job, id string) error {
	if id == "" {
		return nil
	}
	if err := d.serves(id); err != nil || j.Uses(id) {
		return err
	}
	return d.free(id)
}
