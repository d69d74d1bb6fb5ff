package job

import (
	"context"
	"errors"
	"fmt"

	"gauged/internal/gauge"
)

// Replay is the outcome of computing stored verdicts again.
type Replay struct {
	Jobs, Verdicts int
	Differences    []string // one line each
}

// ReplayVerdicts computes the verdicts of the jobs from first to last again from the
// stored facts, and compares them byte for byte.
func ReplayVerdicts(ctx context.Context, store interface {
	Store
	FileStore
}, first, last uint64,
) (r Replay, err error) {
	files := NewFiles(store)
	for id := first; id <= last; id++ {
		_, err := Load(ctx, store, id, files, func(j *Job, f *gauge.JobFact) {
			r.Verdicts++
			if j == nil || string(j.Evaluated) != string(f.Data) {
				r.Differences = append(r.Differences, fmt.Sprintf("job %d: the verdict of %s comes out otherwise", id, f.Time.UTC().Format("2006-01-02T15:04:05Z")))
			}
		})
		if errors.As(err, new(*Damaged)) {
			r.Differences = append(r.Differences, err.Error())
			continue
		}
		if err != nil {
			return r, err
		}
		r.Jobs++
	}
	return r, nil
}
