package station

import (
	"context"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// Acknowledge notes that somebody has read the cautions, those of the procedure
// and the usual ones. It is asked for by those who show them; a job is not held up for it.
func (s *Station) Acknowledge(ctx context.Context, id uint64, by string) (*job.Job, error) {
	return s.stepOf(ctx, id, by, func(j *job.Job) (string, any, error) {
		if j.Acknowledged != "" {
			return "", nil, gauge.Refused("refusal.job.cautions-read", gauge.Text("by", j.Acknowledged), gauge.Count("job", j.ID))
		}
		return job.KindAcknowledged, struct{}{}, nil
	})
}

// NextRound begins the next round of a job after a proof that does not conform or
// is undecided: the parts that are in and what was measured go back into the sum.
func (s *Station) NextRound(ctx context.Context, id uint64, by string) (*job.Job, error) {
	return s.stepOf(ctx, id, by, func(j *job.Job) (string, any, error) {
		data, err := j.NextRound()
		return job.KindRound, data, err
	})
}
