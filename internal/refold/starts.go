package refold

import (
	"bytes"
	"context"
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// startQueue gives the starts of the jobs in the order of the history.
type startQueue struct {
	store job.StartStore
	page  []gauge.Fact
	after uint64
	ended bool
}

// before gives f every start before a number of the history that it has not given yet.
func (q *startQueue) before(ctx context.Context, seq uint64, f func(gauge.Fact) error) error {
	const page = 10_000
	for {
		for len(q.page) > 0 && q.page[0].Seq < seq {
			if err := f(q.page[0]); err != nil {
				return err
			}
			q.page = q.page[1:]
		}
		if len(q.page) > 0 || q.ended {
			return nil
		}
		var err error
		if q.page, err = q.store.JobStarts(ctx, q.after, page); err != nil {
			return fmt.Errorf("load the use of the gauges: %w", err)
		}
		if q.ended = len(q.page) < page; len(q.page) > 0 {
			q.after = q.page[len(q.page)-1].Job.Job
		}
	}
}

// startedGauges finds the gauges of starts. Jobs are started with the same few sets
// of gauges over and over, and each set is decoded once.
type startedGauges map[string]map[string]bool

func (known startedGauges) of(f *gauge.JobFact) (map[string]bool, error) {
	// A quote within a string is written with a backslash: this is the field.
	_, after, there := bytes.Cut(f.Data, []byte(`"gauges":{`))
	if !there {
		return nil, nil
	}
	set, _, _ := bytes.Cut(after, []byte("}"))
	whole := bytes.HasSuffix(set, []byte(`"`)) && !bytes.HasSuffix(set, []byte(`\"`)) // no brace within a name
	if ids, ok := known[string(set)]; ok && whole {
		return ids, nil
	}
	data, err := job.Unmarshal[job.StartedData](f)
	if err != nil {
		return nil, err
	}
	known[string(set)] = job.GaugesOf(data.Gauges)
	return known[string(set)], nil
}
