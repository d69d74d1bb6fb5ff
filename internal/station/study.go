package station

import (
	"context"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/study"
)

// EvaluateStudy makes a study and stores nothing.
func (s *Station) EvaluateStudy(ctx context.Context, r health.StudyRequest) (*health.StudyRecord, error) {
	if _, err := s.Health(r.Gauge); err != nil {
		return nil, err
	}
	made, err := r.Study(s.studySource(ctx, r.Gauge))
	if err != nil {
		return nil, err
	}
	made.Time = s.o.Now()
	return &made, nil
}

// RecordStudy makes a study and stores it. A refused study leaves nothing behind.
func (s *Station) RecordStudy(ctx context.Context, r health.StudyRequest) (*health.StudyRecord, error) {
	if strings.TrimSpace(r.By) == "" {
		return nil, gauge.WrongInput("refusal.study.who")
	}
	if _, err := s.Health(r.Gauge); err != nil {
		return nil, err
	}
	made, err := r.Study(s.studySource(ctx, r.Gauge))
	if err != nil {
		return nil, err
	}
	data := health.StudiedData{Remark: made.Remark, Unit: made.Unit, Plan: made.Plan, Readings: made.Readings, Headline: made.Headline, Figures: made.Figures}
	var stored gauge.Fact
	err = s.do(ctx, func(d *draft) error {
		stored, err = d.gaugeFact(r.Gauge, health.KindStudied, r.By, data)
		return err
	})
	if err != nil {
		return nil, err
	}
	return data.Record(stored), nil
}

// studySource is what a study of a gauge is made from.
func (s *Station) studySource(ctx context.Context, gaugeID string) health.StudySource {
	return health.StudySource{
		Masters: s.Masters(), Now: s.o.Now(), Unit: s.unitOf(gaugeID),
		Reading: func(seq uint64) (*gauge.Reading, error) {
			f, err := s.readingOf(ctx, seq, gaugeID)
			return f.Reading, err
		},
		Checks: func() ([]*check.Record, error) { return s.Checks(ctx, gaugeID) },
	}
}

func (s *Station) unitOf(gaugeID string) gauge.Unit {
	s.mu.RLock()
	defer s.mu.RUnlock()
	g := s.gauges[gaugeID]
	switch {
	case g == nil:
		return gauge.UnitUnknown
	case !g.Unit.Known() && g.Last.Reading != nil:
		return g.Last.Reading.Unit
	}
	return g.Unit
}

// Studies returns the stored studies that a query chooses, of one kind or, without one,
// of any, oldest first.
func (s *Station) Studies(ctx context.Context, kind study.Kind, q gauge.Query) ([]*health.StudyRecord, error) {
	if q.Gauge != "" {
		if _, err := s.Health(q.Gauge); err != nil {
			return nil, err
		}
	}
	var records []*health.StudyRecord
	for most := q.Limit; len(records) < most; {
		q.Limit = min(most-len(records), listAtOnce)
		facts, err := s.o.Store.GaugeFactsOf(ctx, health.KindStudied, q)
		if err != nil {
			return nil, err
		}
		for _, f := range facts {
			data, err := health.Unmarshal[health.StudiedData](f.Gauge)
			if err != nil {
				continue // the gauge is set aside for it, which is said with the station's troubles
			}
			if kind == "" || kind == data.Plan.Kind {
				records = append(records, data.Record(f))
			}
		}
		if len(facts) < q.Limit {
			break
		}
		q.After = facts[len(facts)-1].Seq
	}
	return records, nil
}

// Study returns a stored study by its number in the history.
func (s *Station) Study(ctx context.Context, seq uint64) (*health.StudyRecord, error) {
	if seq > 0 {
		facts, err := s.o.Store.GaugeFacts(ctx, "", seq-1, 1)
		if err != nil {
			return nil, err
		}
		if len(facts) == 1 && facts[0].Seq == seq && facts[0].Gauge.Kind == health.KindStudied {
			data, err := health.Unmarshal[health.StudiedData](facts[0].Gauge)
			if err != nil {
				return nil, &health.Damaged{Gauge: facts[0].Gauge.Gauge, Seq: seq, Why: err}
			}
			return data.Record(facts[0]), nil
		}
	}
	return nil, gauge.NotFound("refusal.study.missing", gauge.Count("study", seq))
}
