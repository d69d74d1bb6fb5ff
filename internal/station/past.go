package station

import (
	"context"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/lookback"
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
	beforehand, err := s.lateFacts(ctx, r.Gauge)
	if err != nil {
		return nil, nil, err
	}
	places := lookback.NewPlaces(s.o.Store, r.Gauge, s.lastNumber(r.Gauge))
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
		if data.Past.After, data.Number, err = places.At(ctx, c.Time); err != nil {
			return nil, nil, err
		}
		facts = append(facts, newFact{health.KindChecked, data})
		records = append(records, data.Record(gauge.Fact{Gauge: &gauge.GaugeFact{By: r.By, Time: s.o.Now()}}))
	}
	err = s.do(ctx, func(d *draft) error {
		for i := range records {
			records[i].Seq = d.nextSeq + uint64(i)
		}
		return d.refold(ctx, r.Gauge, r.By, beforehand, facts...)
	})
	return records, nil, err
}

// lastNumber is that of the last reading of a gauge.
func (s *Station) lastNumber(gaugeID string) uint64 {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if g := s.gauges[gaugeID]; g != nil {
		return g.lastNumber
	}
	return 0
}
