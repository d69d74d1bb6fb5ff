package job

import (
	"context"
	"fmt"

	"gauged/internal/gauge"
)

// Store is the history as one job is loaded from it.
type Store interface {
	JobFacts(ctx context.Context, job uint64) ([]gauge.Fact, error)
	Reading(ctx context.Context, seq uint64) (gauge.Fact, error)
}

// Load folds the stored facts of a job, with the file versions of a cache
// that nobody else uses meanwhile, and evaluates it. check, when given, sees every
// verdict fact and the job as it stands before it.
//
// A job whose facts cannot be put together is the error *Damaged.
func Load(ctx context.Context, store Store, id uint64, files *Files, check func(*Job, *gauge.JobFact)) (j *Job, err error) {
	err = guard(ctx, id, func() (err error) {
		if j, err = fold(ctx, store, id, files, check); err != nil {
			return err
		}
		return j.evaluate()
	})
	return j, err
}

// Fold is Load without the evaluation at the end.
func Fold(ctx context.Context, store Store, id uint64, files *Files, check func(*Job, *gauge.JobFact)) (j *Job, err error) {
	err = guard(ctx, id, func() (err error) {
		j, err = fold(ctx, store, id, files, check)
		return err
	})
	return j, err
}

func fold(ctx context.Context, store Store, id uint64, files *Files, check func(*Job, *gauge.JobFact)) (*Job, error) {
	facts, err := store.JobFacts(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("load job %d: %w", id, err)
	}
	var j *Job
	for _, f := range facts {
		if f.Job.Kind == KindVerdict {
			if err := j.spoken(f, check); err != nil {
				return nil, err
			}
			continue
		}
		var t Taken
		if f.Job.Kind == KindTaken {
			data, err := Unmarshal[TakenData](f.Job)
			if err != nil {
				return nil, err
			}
			if t, err = LoadTaken(ctx, store, data); err != nil {
				return nil, fmt.Errorf("job %d: %w", id, err)
			}
		}
		if j, err = j.folded(f, t, files); err != nil {
			return nil, err
		}
	}
	if j == nil {
		return nil, NoJob(id)
	}
	return j, nil
}

// spoken takes up a stored verdict; what it says follows from the facts before it.
func (j *Job) spoken(f gauge.Fact, check func(*Job, *gauge.JobFact)) error {
	if j != nil {
		j.LastSeq, j.Spoke = f.Seq, f.Job.Time
	}
	if check == nil {
		return nil
	}
	if j != nil {
		if err := j.evaluate(); err != nil {
			return err
		}
	}
	check(j, f.Job)
	return nil
}

// LoadTaken loads the readings that a taken fact names.
func LoadTaken(ctx context.Context, store Store, data TakenData) (t Taken, err error) {
	for _, wanted := range []struct {
		seq uint64
		to  **gauge.Reading
	}{{data.Reading, &t.Reading}, {data.From, &t.From}} {
		if wanted.seq == 0 {
			continue
		}
		stored, err := store.Reading(ctx, wanted.seq)
		if err != nil {
			return Taken{}, fmt.Errorf("reading %d: %w", wanted.seq, err)
		}
		*wanted.to = stored.Reading
	}
	return t, nil
}

// NoJob says that there is no job of that number.
func NoJob(id uint64) error { return gauge.NotFound("refusal.job.missing", gauge.Count("job", id)) }
