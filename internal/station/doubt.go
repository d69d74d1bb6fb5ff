package station

import (
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// warnJobs brings the warnings of the open jobs of a gauge up to its health.
func (d *draft) warnJobs(gaugeID string) {
	d.eachOpen(func(j *job.Job) {
		if j.Binds(gaugeID) || len(j.ReadingsOf(gaugeID)) > 0 {
			d.jobs[j.ID] = j.Warned(d.healthOf, d.s.o.Now())
		}
	})
}

// closingWarnings are what a job says of its gauges when it is closed and did not
// say at its start.
func (d *draft) closingWarnings(j *job.Job) []gauge.Message {
	now := d.s.o.Now()
	closed := *j
	closed.Closed = now
	all := j.Warned(d.healthOf, now).Warnings[len(j.Told):]
	for _, m := range closed.Warned(d.healthOf, now).Warnings[len(j.Told):] {
		if !job.Says(all, m) {
			all = append(all, m)
		}
	}
	return all
}

// serves says why no reading of a gauge is taken into a job now.
func (d *draft) serves(gaugeID string) error {
	if h := d.healthOf(gaugeID); h != nil && h.Standing != health.InService {
		return gauge.Refused("refusal.gauge.take-another", h.Out(gaugeID)...)
	}
	return nil
}
