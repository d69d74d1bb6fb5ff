package job

import (
	"context"
	"errors"
	"fmt"

	"gauged/internal/gauge"
)

// StepStore is the history as many jobs are folded from it at once.
type StepStore interface {
	// StepsOf returns the steps of several jobs from their starts on, without those of a kind.
	StepsOf(ctx context.Context, starts []gauge.Fact, without string) ([][]gauge.Fact, error)
	// ReadingsAt returns several readings by their numbers in the history.
	ReadingsAt(ctx context.Context, seqs []uint64) ([]gauge.Fact, error)
}

// Folded is a job as its stored facts make it, not evaluated, with the
// readings that it took.
type Folded struct {
	*Job
	Named map[uint64]Taken // by the number of the reading
}

// FoldAll folds many jobs from their starts, with the file versions of a cache
// that nobody else uses meanwhile. Verdicts are left out: they follow from the
// other facts. Damaged jobs are set aside and left out.
func FoldAll(ctx context.Context, store StepStore, starts []gauge.Fact, files *Files, aside *Quarantine) (jobs []Folded, err error) {
	at := uint64(0)
	if len(starts) > 0 {
		at = starts[0].Job.Job
	}
	err = guard(ctx, at, func() (err error) {
		jobs, err = foldAll(ctx, store, starts, files)
		return err
	})
	switch {
	case err == nil || !errors.As(err, new(*Damaged)) && !errors.Is(err, gauge.ErrNotFound):
		return jobs, err
	case len(starts) == 1 && aside.Has(&Damaged{at, err}):
		return nil, nil
	}
	jobs = nil
	for _, start := range starts { // one of them is damaged
		one, err := FoldAll(ctx, store, []gauge.Fact{start}, files, aside)
		if err != nil {
			return nil, err
		}
		jobs = append(jobs, one...)
	}
	return jobs, nil
}

func foldAll(ctx context.Context, store StepStore, starts []gauge.Fact, files *Files) ([]Folded, error) {
	steps, err := store.StepsOf(ctx, starts, KindVerdict)
	if err != nil {
		return nil, err
	}
	names, readings, err := takenBy(ctx, store, steps)
	if err != nil {
		return nil, err
	}
	jobs := make([]Folded, len(steps))
	for i, facts := range steps {
		j, err := started(facts[0], files)
		if err != nil {
			return nil, err
		}
		jobs[i] = Folded{j, map[uint64]Taken{}}
		for _, f := range facts[1:] {
			j.LastSeq = f.Seq
			if f.Job.Kind == KindTaken {
				data := names[0]
				names = names[1:]
				t := Taken{Reading: readings[data.Reading], From: readings[data.From]}
				jobs[i].Named[data.Reading] = t
				j.TakeReading(data, t)
			} else if err := j.take(f.Job, Taken{}); err != nil {
				return nil, err
			}
		}
	}
	return jobs, nil
}

// takenBy returns what the taken facts of jobs name, in their order, and the
// readings by their numbers.
func takenBy(ctx context.Context, store StepStore, steps [][]gauge.Fact) ([]TakenData, map[uint64]*gauge.Reading, error) {
	var names []TakenData
	var seqs []uint64
	for _, facts := range steps {
		for _, f := range facts {
			if f.Job.Kind != KindTaken {
				continue
			}
			data, err := Unmarshal[TakenData](f.Job)
			if err != nil {
				return nil, nil, err
			}
			names = append(names, data)
			if seqs = append(seqs, data.Reading); data.From != 0 {
				seqs = append(seqs, data.From)
			}
		}
	}
	facts, err := store.ReadingsAt(ctx, seqs)
	if err != nil {
		return nil, nil, fmt.Errorf("readings of jobs: %w", err)
	}
	readings := make(map[uint64]*gauge.Reading, len(facts))
	for _, f := range facts {
		readings[f.Seq] = f.Reading
	}
	return names, readings, nil
}

// StartStore has the starts of the jobs.
type StartStore interface {
	// JobStarts returns the starts of the jobs after one, in rising order.
	JobStarts(ctx context.Context, afterJob uint64, limit int) ([]gauge.Fact, error)
}

// EachStart calls f with the start of every job, in their order.
func EachStart(ctx context.Context, store StartStore, f func(gauge.Fact) error) error {
	const page = 10_000
	for after := uint64(0); ; {
		starts, err := store.JobStarts(ctx, after, page)
		if err != nil {
			return err
		}
		for _, start := range starts {
			after = start.Job.Job
			if err := f(start); err != nil {
				return err
			}
		}
		if len(starts) < page {
			return nil
		}
	}
}
