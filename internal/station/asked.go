package station

import (
	"context"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// requestStore is the history as it knows the requests that have stored something.
type requestStore interface {
	Request(ctx context.Context, id string) (gauge.Request, bool, error)
}

type askedKey struct{}

// asked is how a call is made: under an id, or for trial.
type asked struct {
	gauge.Request        // without an id: it is not known again
	trial         bool   // decide, and store nothing
	tried         *draft // what a trial has decided, for who waited for it
}

// Under returns a context whose first call that stores does so under the id of a request;
// hash is of everything that is asked. The same request stores nothing again: the call
// fails with a RepeatedError.
func Under(ctx context.Context, id, hash string) context.Context {
	return context.WithValue(ctx, askedKey{}, &asked{Request: gauge.Request{ID: id, Hash: hash}})
}

// Trial returns a context whose calls answer what would follow, and store nothing.
func Trial(ctx context.Context) context.Context {
	return context.WithValue(ctx, askedKey{}, &asked{trial: true})
}

func askedIn(ctx context.Context) *asked {
	a, _ := ctx.Value(askedKey{}).(*asked)
	return a
}

// RepeatedError is that a request was carried out before.
type RepeatedError struct{ gauge.Request }

// Error names the request.
func (e *RepeatedError) Error() string { return "request " + e.ID + " was carried out before" }

// Repeated fails with a RepeatedError when the request of a context was carried out before,
// and refuses it when its id belongs to another one.
func (s *Station) Repeated(ctx context.Context) error {
	a := askedIn(ctx)
	if a == nil || a.ID == "" {
		return nil
	}
	known, found, err := s.o.Store.Request(ctx, a.ID)
	if err != nil || !found {
		return err
	}
	return a.again(known)
}

// again is the outcome of a request whose id is known.
func (a *asked) again(known gauge.Request) error {
	if known.Hash != a.Hash {
		return gauge.WrongInput("refusal.request.other", gauge.Text("id", a.ID))
	}
	return &RepeatedError{known}
}

// ask decides a request in the batch: under its id, once, or for trial.
func (d *draft) ask(r *request) error {
	a := r.asked
	switch {
	case a == nil:
		return d.whole(r.decide)
	case a.trial:
		a.tried = newDraft(d.s) // what this draft has is not durable yet
		return a.tried.whole(r.decide)
	}
	known, found := d.requests[a.ID]
	if !found {
		var err error
		if known, found, err = d.s.o.Store.Request(context.Background(), a.ID); err != nil {
			return err
		}
	}
	if found {
		return a.again(known)
	}
	before := d.nextSeq
	if err := d.whole(r.decide); err != nil || d.nextSeq == before {
		return err
	}
	d.requests[a.ID] = gauge.Request{ID: a.ID, Hash: a.Hash, First: before, Last: d.nextSeq - 1}
	return nil
}

// Stored is what a request stored, as it stands now.
type Stored struct {
	Facts   []gauge.Fact
	Job     *job.Job   // nil: it changed none
	Reading gauge.Fact // that the job took
	Gauge   string     // whose facts are among these; empty: none's
	Left    int        // checks that it gave up
}

// StoredBy returns what a request stored that was carried out before.
func (s *Station) StoredBy(ctx context.Context, r gauge.Request) (stored Stored, err error) {
	for after := r.First - 1; after < r.Last; after = stored.Facts[len(stored.Facts)-1].Seq {
		facts, err := s.o.Store.Facts(ctx, after, int(min(r.Last-after, listAtOnce)))
		if err != nil {
			return stored, err
		}
		stored.Facts = append(stored.Facts, facts...)
	}
	for _, f := range stored.Facts {
		switch {
		case f.Gauge != nil:
			stored.Gauge = f.Gauge.Gauge
			if f.Gauge.Kind == health.KindLeft {
				if stored.Left, err = s.leftBy(ctx, f); err != nil {
					return stored, err
				}
			}
		case f.Job != nil && stored.Job == nil:
			if stored.Job, err = s.Job(ctx, f.Job.Job); err != nil {
				return stored, err
			}
		}
		if seq := job.TakenBy(f); seq > 0 {
			if stored.Reading, err = s.o.Store.Reading(ctx, seq); err != nil {
				return stored, err
			}
		}
	}
	return stored, nil
}

// leftBy is how many checks a fact gave up.
func (s *Station) leftBy(ctx context.Context, left gauge.Fact) (n int, err error) {
	h := s.newHealth(left.Gauge.Gauge)
	err = s.eachGaugeFact(ctx, left.Gauge.Gauge, func(f gauge.Fact) error {
		before := len(h.Begun)
		if h, err = h.With(f); err == nil && f.Seq == left.Seq {
			n = before - len(h.Begun)
		}
		return err
	})
	return n, err
}
