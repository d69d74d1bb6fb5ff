// Package refold answers how gauges stand: from everything that is stored of them, in the
// order of the history, and as if what changes earlier facts had always been known. A gauge
// whose facts cannot be put together, or are not what was stored, is set aside alone.
package refold

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
)

// Store has what happened to gauges, and the starts of the jobs that used them.
type Store interface {
	// GaugeFacts returns what happened to a gauge, or to all, after a number.
	GaugeFacts(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
	job.StartStore
}

// Fold is what gauges are folded from.
type Fold struct {
	Store  Store
	New    func(gaugeID string) *health.Gauge // of which nothing is known yet
	Aside  *job.Quarantine                    // of jobs whose start is damaged
	Unlike map[uint64]bool                    // facts that are not what was stored
}

// Late are the facts about gauges that change what came before them, as far as they were read.
type Late struct {
	through uint64                   // the history up to this number is taken up
	voided  map[uint64]bool          // checks, by their numbers
	past    []pastFact               // in the order of their places
	records map[uint64]*check.Record // of the past, by their numbers
}

// ReadLate reads those of a gauge, or of all, that are stored by now.
func ReadLate(ctx context.Context, store Store, gaugeID string) (*Late, error) {
	l := &Late{voided: map[uint64]bool{}, records: map[uint64]*check.Record{}}
	return l, EachFact(ctx, store, gaugeID, 0, nil, l.add)
}

// copy may be added to.
func (l *Late) copy() *Late {
	return &Late{l.through, maps.Clone(l.voided), slices.Clone(l.past), maps.Clone(l.records)}
}

// pastFact is a check of the past.
type pastFact struct {
	gauge  string
	seq    uint64
	check  *check.Record
	number uint64
}

// add takes up a fact that is one of these. One that is damaged is told when the gauge is
// folded.
func (l *Late) add(f gauge.Fact) error {
	l.through = f.Seq
	switch {
	case f.Gauge.Kind == health.KindVoided:
		if data, err := health.Unmarshal[health.VoidedData](f.Gauge); err == nil {
			l.voided[data.Check] = true
		}
	case health.IsPast(f):
		if data, err := health.Unmarshal[health.CheckedData](f.Gauge); err == nil && data.Past != nil {
			l.records[f.Seq] = data.Record(f)
			l.past = append(l.past, pastFact{f.Gauge.Gauge, f.Seq, l.records[f.Seq], data.Number})
		}
	}
	return nil
}

// EachFact gives f the facts of a gauge, or of all, after a number, in their order, and then
// the extra ones.
func EachFact(ctx context.Context, store Store, gaugeID string, after uint64, extra []gauge.Fact, f func(gauge.Fact) error) error {
	const page = 10_000
	for {
		facts, err := store.GaugeFacts(ctx, gaugeID, after, page)
		if err != nil {
			return fmt.Errorf("load the checks of the gauges: %w", err)
		}
		full := len(facts) == page
		if full {
			after = facts[page-1].Seq
		} else {
			facts = append(facts, extra...)
		}
		for _, one := range facts {
			if err := f(one); err != nil {
				return err
			}
		}
		if !full {
			return nil
		}
	}
}

// Gauges is how a gauge, or each of them, stands; ids are those that there are besides,
// beforehand are facts that were read earlier.
func (r Fold) Gauges(ctx context.Context, gaugeID string, ids []string, beforehand *Late, extra []gauge.Fact) (map[string]*health.Gauge, error) {
	l := beforehand.copy()
	if err := EachFact(ctx, r.Store, gaugeID, l.through, extra, l.add); err != nil {
		return nil, err
	}
	slices.SortStableFunc(l.past, func(a, b pastFact) int { return a.check.Order(b.check.Place(), b.check.Time) })
	all := map[string]*health.Gauge{}
	of := func(id string) *health.Gauge {
		if all[id] == nil {
			all[id] = r.New(id)
		}
		return all[id]
	}
	for _, id := range ids {
		if gaugeID == "" || gaugeID == id {
			of(id)
		}
	}
	starts, known := startQueue{store: r.Store}, startedGauges{}
	count := func(f gauge.Fact) error {
		used, err := known.of(f.Job)
		for id := range used {
			if gaugeID == "" || gaugeID == id {
				of(id).Use.Start(f.Job.Job, f.Seq)
			}
		}
		if err != nil {
			r.Aside.Has(&job.Damaged{Job: f.Job.Job, Why: err})
		}
		return nil
	}
	// earlier takes the checks of the past whose place is before a number of the history.
	earlier := func(seq uint64) error {
		for len(l.past) > 0 && l.past[0].check.Place() < seq {
			p := l.past[0]
			if err := starts.before(ctx, p.check.Place()+1, count); err != nil {
				return err
			}
			if l.past = l.past[1:]; !l.voided[p.check.Seq] {
				h := of(p.gauge)
				h.Guard(p.gauge, p.seq, func() error { h.Take(p.check, p.number); return nil })
			}
		}
		return starts.before(ctx, seq, count)
	}
	err := EachFact(ctx, r.Store, gaugeID, 0, extra, func(f gauge.Fact) error {
		if err := earlier(f.Seq); err != nil {
			return err
		}
		h := of(f.Gauge.Gauge)
		h.Guard(f.Gauge.Gauge, f.Seq, func() error {
			if r.Unlike[f.Seq] {
				return health.ErrUnlike
			}
			if c := l.records[f.Seq]; c != nil {
				h.AddPast(c, f)
				return nil
			}
			return h.Add(f, !l.voided[f.Seq])
		})
		return nil
	})
	if err != nil {
		return nil, err
	}
	return all, earlier(math.MaxUint64)
}
