package station

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

// gaugeStore has what happened to gauges.
type gaugeStore interface {
	// GaugeFacts returns what happened to a gauge, or to all, after a number.
	GaugeFacts(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
}

// late are the facts about gauges that change what came before them.
type late struct {
	through uint64                   // the history up to this number is taken up
	voided  map[uint64]bool          // checks, by their numbers
	past    []pastFact               // in the order of their places
	records map[uint64]*check.Record // of the past, by their numbers
}

// lateFacts are those of a gauge, or of all, that are stored by now.
func (s *Station) lateFacts(ctx context.Context, gaugeID string) (*late, error) {
	l := &late{voided: map[uint64]bool{}, records: map[uint64]*check.Record{}}
	return l, s.eachGaugeFact(ctx, gaugeID, 0, nil, l.add)
}

// copy may be added to.
func (l *late) copy() *late {
	return &late{l.through, maps.Clone(l.voided), slices.Clone(l.past), maps.Clone(l.records)}
}

// pastFact is a check of the past.
type pastFact struct {
	gauge  string
	check  *check.Record
	number uint64
}

// add takes up a fact that is one of these.
func (l *late) add(f gauge.Fact) error {
	l.through = f.Seq
	switch {
	case f.Gauge.Kind == health.KindVoided:
		data, err := health.Unmarshal[health.VoidedData](f.Gauge)
		if err != nil {
			return err
		}
		l.voided[data.Check] = true
	case health.IsPast(f):
		data, err := health.Unmarshal[health.CheckedData](f.Gauge)
		if err != nil {
			return err
		}
		l.records[f.Seq] = data.Record(f)
		l.past = append(l.past, pastFact{f.Gauge.Gauge, l.records[f.Seq], data.Number})
	}
	return nil
}

// eachGaugeFact gives f the facts of a gauge, or of all, after a number, in their order,
// and then the extra ones.
func (s *Station) eachGaugeFact(ctx context.Context, gaugeID string, after uint64, extra []gauge.Fact, f func(gauge.Fact) error) error {
	const page = 10_000
	for {
		facts, err := s.o.Store.GaugeFacts(ctx, gaugeID, after, page)
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

// folded is the health of a gauge, or of all of them, from everything that happened to
// it, as if the facts that change earlier ones had always been known. beforehand are those
// that were read earlier.
func (s *Station) folded(ctx context.Context, gaugeID string, beforehand *late, extra []gauge.Fact) (map[string]*health.Gauge, error) {
	l := beforehand.copy()
	if err := s.eachGaugeFact(ctx, gaugeID, l.through, extra, l.add); err != nil {
		return nil, err
	}
	slices.SortStableFunc(l.past, func(a, b pastFact) int { return a.check.Order(b.check.Place(), b.check.Time) })
	all := map[string]*health.Gauge{}
	for id := range s.gauges {
		if gaugeID == "" || gaugeID == id {
			all[id] = s.newHealth(id)
		}
	}
	of := func(id string) *health.Gauge {
		if all[id] == nil {
			all[id] = s.newHealth(id)
		}
		return all[id]
	}
	starts, known := startQueue{store: s.o.Store}, startedGauges{}
	count := func(f gauge.Fact) error {
		ids, err := known.of(f.Job)
		for id := range ids {
			if gaugeID == "" || gaugeID == id {
				of(id).Use.Start(f.Job.Job, f.Seq)
			}
		}
		if err != nil {
			s.Quarantine.Has(&job.Damaged{Job: f.Job.Job, Why: err})
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
				of(p.gauge).Take(p.check, p.number)
			}
		}
		return starts.before(ctx, seq, count)
	}
	err := s.eachGaugeFact(ctx, gaugeID, 0, extra, func(f gauge.Fact) error {
		if err := earlier(f.Seq); err != nil {
			return err
		}
		if c := l.records[f.Seq]; c != nil {
			of(f.Gauge.Gauge).AddPast(c, f)
			return nil
		}
		return of(f.Gauge.Gauge).Add(f, !l.voided[f.Seq])
	})
	if err != nil {
		return nil, err
	}
	return all, earlier(math.MaxUint64)
}

// loadHealth reads what happened to the gauges, in the order of the history.
func (s *Station) loadHealth(ctx context.Context) (err error) {
	l, err := s.lateFacts(ctx, "")
	if err != nil {
		return err
	}
	if s.health, err = s.folded(ctx, "", l, nil); err != nil {
		return err
	}
	return s.loadNumbers(ctx)
}
