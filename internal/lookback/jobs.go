package lookback

import (
	"context"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
	"gauged/internal/job"
)

// recaller recalls jobs, many with each read. It belongs to one goroutine.
type recaller struct {
	store recallStore
	e     recall.GaugeError
	files *job.Files
	brief *evaluate.Brief
}

// jobBatch is how many jobs are read at once.
const jobBatch = 256

// recall returns what became of the jobs with these starts that count a reading
// of the gauge.
func (w *recaller) recall(ctx context.Context, starts []gauge.Fact) ([]recall.Item, error) {
	if ended := w.e.Ended; !ended.IsZero() {
		starts = slices.DeleteFunc(starts, func(f gauge.Fact) bool { return !f.Job.Time.Before(ended) })
	}
	var items []recall.Item
	for batch := range slices.Chunk(starts, jobBatch) {
		var aside job.Quarantine
		jobs, err := job.FoldAll(ctx, w.store, batch, w.files, &aside)
		if err != nil {
			return nil, err
		}
		err = aside.Each(ctx, jobs, func(j job.Folded) error {
			item, err := w.e.Recall(Past(j), w.brief.Evaluate)
			if item != nil {
				items = append(items, *item)
			}
			return err
		})
		if err != nil {
			return nil, err
		}
		if damaged := aside.Jobs(); len(damaged) > 0 {
			return nil, damaged[0] // what became of it cannot be said, and is not to be left out
		}
	}
	return items, nil
}

// Past is the job as a recall takes it.
func Past(j job.Folded) recall.PastJob {
	return recall.PastJob{
		ID: j.ID, UnitSerial: j.UnitSerial, Started: j.Started, Closed: j.Closed,
		Procedure: j.Procedure, Families: j.Families, Input: j.Input(j.Counting()),
		Taken: func(seq uint64) (reading, from *gauge.Reading) { t := j.Named[seq]; return t.Reading, t.From },
	}
}
