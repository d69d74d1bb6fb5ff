package station

import (
	"context"
	"fmt"

	"gauged/internal/gauge"
)

// stepStore is the history as many jobs are folded from it at once.
type stepStore interface {
	// StepsOf returns the steps of several jobs from their starts on, without those of a kind.
	StepsOf(ctx context.Context, starts []gauge.Fact, without string) ([][]gauge.Fact, error)
	// ReadingsAt returns several readings by their numbers in the history.
	ReadingsAt(ctx context.Context, seqs []uint64) ([]gauge.Fact, error)
}

// foldedJob is a job as its stored facts make it, not evaluated, with the
// readings that it took.
type foldedJob struct {
	*Job
	named map[uint64]taken // by the number of the reading
}

// foldJobs folds many jobs from their starts, with the file versions of a cache
// that nobody else uses meanwhile. Verdicts are left out: they follow from the
// other facts.
func foldJobs(ctx context.Context, store stepStore, starts []gauge.Fact, files *fileCache) ([]foldedJob, error) {
	steps, err := store.StepsOf(ctx, starts, kindVerdict)
	if err != nil {
		return nil, err
	}
	names, readings, err := takenBy(ctx, store, steps)
	if err != nil {
		return nil, err
	}
	jobs := make([]foldedJob, len(steps))
	for i, facts := range steps {
		j, err := started(facts[0], files)
		if err != nil {
			return nil, err
		}
		jobs[i] = foldedJob{j, map[uint64]taken{}}
		for _, f := range facts[1:] {
			j.LastSeq = f.Seq
			if f.Job.Kind == kindTaken {
				data := names[0]
				names = names[1:]
				t := taken{reading: readings[data.Reading], from: readings[data.From]}
				jobs[i].named[data.Reading] = t
				j.takeReading(data, t)
			} else if err := j.take(f.Job, taken{}); err != nil {
				return nil, err
			}
		}
	}
	return jobs, nil
}

// takenBy returns what the taken facts of jobs name, in their order, and the
// readings by their numbers.
func takenBy(ctx context.Context, store stepStore, steps [][]gauge.Fact) ([]takenData, map[uint64]*gauge.Reading, error) {
	var names []takenData
	var seqs []uint64
	for _, facts := range steps {
		for _, f := range facts {
			if f.Job.Kind != kindTaken {
				continue
			}
			data, err := unmarshal[takenData](f.Job)
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
