package access

import (
	"encoding/json"
	"sync"
	"time"

	"gauged/internal/gauge"
)

// How thinly refusals are kept: one a minute of a subject for a reason, so many a minute
// of all, and so many subjects at a time.
const (
	refusalsEvery    = time.Minute
	refusalsAtMost   = 30
	refusalsSubjects = 1000
)

// Refusals thins out who was refused, so that a flood of tries is told and fills no
// history. The zero Refusals is ready.
type Refusals struct {
	mu     sync.Mutex
	since  time.Time // when the present minute began
	kept   int       // in it
	counts map[refusal]*refusedSince
}

type refusal struct{ subject, reason string }

type refusedSince struct {
	told  time.Time
	count int // since then
}

// RefusedData is what is kept of refusals.
type RefusedData struct {
	Reason string `json:"reason"` // code of the refusal
	What   string `json:"what"`   // that was asked for, last
	Count  int    `json:"count"`  // how often, since it was last kept

	Door Place         `json:"door,omitempty"` // at which it was asked for
	Said gauge.Message `json:"said,omitzero"`  // the refusal
}

// Why is the refusal, where it was kept, else its code.
func (d RefusedData) Why() gauge.Message {
	if d.Said.IsZero() {
		return gauge.Plain(d.Reason)
	}
	return d.Said
}

// Note counts a refusal of a subject, and returns the change that keeps it; nil: it is
// kept with a later one.
func (r *Refusals) Note(subject string, why error, w Way, now time.Time) Change {
	said := gauge.Told(why)
	reason := said.Code
	r.mu.Lock()
	defer r.mu.Unlock()
	if age := now.Sub(r.since); age >= refusalsEvery || age < 0 {
		r.since, r.kept = now, 0
	}
	if len(r.counts) >= refusalsSubjects || r.counts == nil {
		r.counts = map[refusal]*refusedSince{}
	}
	of := r.counts[refusal{subject, reason}]
	if of == nil {
		of = &refusedSince{}
		r.counts[refusal{subject, reason}] = of
	}
	of.count++
	if age := now.Sub(of.told); !of.told.IsZero() && age >= 0 && age < refusalsEvery || r.kept >= refusalsAtMost {
		return nil
	}
	data := RefusedData{Reason: reason, What: w.Name, Count: of.count, Door: w.Place, Said: said}
	*of = refusedSince{told: now}
	r.kept++
	return func(Register, time.Time) ([]gauge.AccessFact, error) {
		content, err := json.Marshal(data)
		return []gauge.AccessFact{{Time: now, Kind: KindRefused, Subject: subject, Data: content}}, err
	}
}
