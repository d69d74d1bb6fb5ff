package station

import (
	"context"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// ImportChecks returns the checks as they are judged, or everything that is wrong with
// them; nothing is stored then.
func (s *Station) ImportChecks(ctx context.Context, r health.ImportRequest) ([]*check.Record, []health.ImportProblem, error) {
	if err := r.Check(s.unitOf(r.Gauge)); err != nil {
		return nil, nil, err
	}
	all, err := s.AllChecks(ctx, r.Gauge)
	if err != nil {
		return nil, nil, err
	}
	if problems := r.Problems(all, s.Masters(), s.o.Now()); len(problems) > 0 {
		return nil, problems, nil
	}
	ability := s.ability(r.Gauge)
	var facts []newFact
	var records []*check.Record
	for _, c := range r.Checks {
		data := health.CheckedData{
			Occasion: c.Occasion, Remark: c.Remark, Ability: ability, Result: check.EvaluateStated(c.Found, ability),
			Past: &health.PastData{Time: c.Time, By: c.By, Place: c.Place, Certificate: c.Certificate},
		}
		if len(c.Left) > 0 {
			left := check.EvaluateStated(c.Left, ability)
			data.LeftResult = &left
		}
		if data.Past.After, err = s.lastAt(ctx, c.Time); err != nil {
			return nil, nil, err
		}
		if data.Number, err = s.numberAt(ctx, r.Gauge, data.Past.After); err != nil {
			return nil, nil, err
		}
		facts = append(facts, newFact{health.KindChecked, data})
		records = append(records, data.Record(gauge.Fact{Gauge: &gauge.GaugeFact{By: r.By, Time: s.o.Now()}}))
	}
	err = s.do(ctx, func(d *draft) error {
		for i := range records {
			records[i].Seq = d.nextSeq + uint64(i)
		}
		return d.refold(ctx, r.Gauge, r.By, facts...)
	})
	return records, nil, err
}

// lastAt is the last number that the history had at a time; 0: none.
func (s *Station) lastAt(ctx context.Context, t time.Time) (uint64, error) {
	low, high := uint64(0), s.o.Store.LastSeq() // the answer is in low..high
	for low < high {
		middle := high - (high-low)/2
		facts, err := s.o.Store.Facts(ctx, middle-1, 1)
		if err != nil {
			return 0, err
		}
		if len(facts) == 0 || facts[0].Time().After(t) {
			high = middle - 1
		} else {
			low = middle
		}
	}
	return low, nil
}

// numberAt is the number that the readings of a gauge had come to at a number of the
// history.
func (s *Station) numberAt(ctx context.Context, gaugeID string, seq uint64) (uint64, error) {
	next, err := s.o.Store.Readings(ctx, gaugeID, seq, 1)
	if err != nil {
		return 0, err
	}
	if len(next) > 0 && next[0].Reading.Number > 0 {
		return next[0].Reading.Number - 1, nil
	}
	s.mu.RLock()
	defer s.mu.RUnlock()
	if g := s.gauges[gaugeID]; g != nil {
		return g.lastNumber, nil
	}
	return 0, nil
}
