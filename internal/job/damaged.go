package job

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"gauged/internal/gauge"
)

// Damaged is that what is stored of a job cannot be put together.
type Damaged struct {
	Job uint64
	Why error
}

// Error says which job, and why.
func (d *Damaged) Error() string { return fmt.Sprintf("job %d is damaged: %v", d.Job, d.Why) }

// Unwrap gives the kind of the refusal, and why.
func (d *Damaged) Unwrap() []error { return []error{gauge.ErrRefused, d.Why} }

// Tell gives the message.
func (d *Damaged) Tell() gauge.Message {
	return gauge.Say("refusal.job.damaged", gauge.Count("job", d.Job), gauge.Text("why", d.Why.Error()))
}

// guard runs what puts a job together. Where that fails, or panics, the job is damaged; that
// there is none, that the history is closed and that the caller gave up are no damage.
func guard(ctx context.Context, id uint64, f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &Damaged{id, fmt.Errorf("it breaks the evaluation: %v", p)}
		}
	}()
	err = f()
	if err == nil || ctx.Err() != nil || errors.Is(err, gauge.ErrNotFound) || errors.Is(err, gauge.ErrStopped) || errors.As(err, new(*Damaged)) {
		return err
	}
	return &Damaged{id, err}
}

// Quarantine are the jobs that are set aside because they are damaged. Everything else runs.
type Quarantine struct {
	// Heard is called with each job that is found, once; nil: nobody hears.
	Heard func(*Damaged)

	mu   sync.Mutex
	jobs map[uint64]*Damaged
}

// Has takes a damaged job in, and reports whether the error is that of one.
func (q *Quarantine) Has(err error) bool {
	var d *Damaged
	if !errors.As(err, &d) {
		return false
	}
	q.mu.Lock()
	_, known := q.jobs[d.Job]
	if q.jobs == nil {
		q.jobs = map[uint64]*Damaged{}
	}
	q.jobs[d.Job] = d
	q.mu.Unlock()
	if !known && q.Heard != nil {
		q.Heard(d)
	}
	return true
}

// Jobs are those that were found since the start, by their numbers.
func (q *Quarantine) Jobs() []*Damaged {
	q.mu.Lock()
	defer q.mu.Unlock()
	all := make([]*Damaged, 0, len(q.jobs))
	for _, d := range q.jobs {
		all = append(all, d)
	}
	slices.SortFunc(all, func(a, b *Damaged) int { return cmp.Compare(a.Job, b.Job) })
	return all
}

// Each does something with each of some jobs; one that it breaks on is damaged and set
// aside.
func (q *Quarantine) Each(ctx context.Context, jobs []Folded, f func(Folded) error) error {
	for _, j := range jobs {
		if err := guard(ctx, j.ID, func() error { return f(j) }); err != nil && !q.Has(err) {
			return err
		}
	}
	return nil
}
