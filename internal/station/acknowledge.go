package station

import (
	"context"
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// Acknowledge notes that somebody has read the cautions, those of the procedure
// and the usual ones. It is asked for by those who show them; a job is not held up for it.
func (s *Station) Acknowledge(ctx context.Context, id uint64, by string) (*job.Job, error) {
	return s.stepOf(ctx, id, by, func(j *job.Job) (string, any, error) {
		if j.Acknowledged != "" {
			return "", nil, fmt.Errorf("%w: %s has read the cautions of job %d already", gauge.ErrRefused, j.Acknowledged, j.ID)
		}
		return job.KindAcknowledged, struct{}{}, nil
	})
}
