package station

import (
	"context"

	"gauged/internal/job"
)

// NextRound begins the next round of a job after a proof that does not conform or
// is undecided: the parts that are in and what was measured go back into the sum.
func (s *Station) NextRound(ctx context.Context, id uint64, by string) (*job.Job, error) {
	return s.stepOf(ctx, id, by, func(j *job.Job) (string, any, error) {
		data, err := j.NextRound()
		return job.KindRound, data, err
	})
}
