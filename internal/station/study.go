package station

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/study"
)

// kindStudied is the fact of a study of a gauge. Nothing else follows from it: it
// changes neither the standing of the gauge nor its drift.
const kindStudied = "studied"

// StudyRow is one reading of a study, with what it is a reading of.
type StudyRow struct {
	Seq       uint64     `json:"seq,omitempty"`       // of a stored reading of the gauge
	Typed     string     `json:"typed,omitempty"`     // else the value, decimal text
	Unit      gauge.Unit `json:"unit,omitempty"`      // of Typed
	Part      string     `json:"part,omitempty"`      //
	Person    string     `json:"person,omitempty"`    // who measured
	Trial     string     `json:"trial,omitempty"`     //
	Group     string     `json:"group,omitempty"`     //
	Day       string     `json:"day,omitempty"`       //
	Run       string     `json:"run,omitempty"`       //
	Time      string     `json:"time,omitempty"`      // label of the point in time
	Reference string     `json:"reference,omitempty"` // decimal text in the unit of the study
	Master    string     `json:"master,omitempty"`    // whose value is the reference value instead
}

// StudyReading is a row with its values in the unit of the study, decimal text.
type StudyReading struct {
	StudyRow
	Value string `json:"value"`
	Known string `json:"known,omitempty"` // the reference value
}

// StoredChecks takes the readings of stored checks for a study.
type StoredChecks struct {
	Master string    // at this one only; empty: at all
	Since  time.Time // zero: since the last adjustment
}

// StudyRequest is a study of a gauge as it is asked for.
type StudyRequest struct {
	Gauge  string
	Unit   gauge.Unit // of all figures; unknown: that of the first reading
	Plan   study.Plan
	Rows   []StudyRow
	Checks *StoredChecks // instead of Rows
	By     string        // who made it, and a remark, of a study that is stored
	Remark string
}

// StudyRecord is a study with its result.
type StudyRecord struct {
	Seq      uint64 // 0: not stored
	Time     time.Time
	Gauge    string
	By       string
	Unit     gauge.Unit
	Remark   string
	Plan     study.Plan
	Readings []StudyReading
	Headline study.Headline
	Figures  json.RawMessage // study.Study.Figures, as JSON
}

// studiedData has everything that the result follows from, and the result.
type studiedData struct {
	Remark   string          `json:"remark,omitempty"`
	Unit     gauge.Unit      `json:"unit"`
	Plan     study.Plan      `json:"plan"`
	Readings []StudyReading  `json:"readings"`
	Headline study.Headline  `json:"headline"`
	Figures  json.RawMessage `json:"figures"`
}

// EvaluateStudy makes a study and stores nothing.
func (s *Station) EvaluateStudy(ctx context.Context, r StudyRequest) (*StudyRecord, error) {
	if _, err := s.Health(r.Gauge); err != nil {
		return nil, err
	}
	data, err := s.studied(ctx, r)
	if err != nil {
		return nil, err
	}
	return data.record(gauge.Fact{Gauge: &gauge.GaugeFact{Gauge: r.Gauge, Time: s.o.Now(), By: r.By}}), nil
}

// RecordStudy makes a study and stores it. A refused study leaves nothing behind.
func (s *Station) RecordStudy(ctx context.Context, r StudyRequest) (*StudyRecord, error) {
	if strings.TrimSpace(r.By) == "" {
		return nil, fmt.Errorf("%w: a study needs the name of who made it", gauge.ErrInput)
	}
	if _, err := s.Health(r.Gauge); err != nil {
		return nil, err
	}
	data, err := s.studied(ctx, r)
	if err != nil {
		return nil, err
	}
	var stored gauge.Fact
	err = s.do(ctx, func(d *draft) error {
		stored, err = d.gaugeFact(r.Gauge, kindStudied, r.By, data)
		return err
	})
	if err != nil {
		return nil, err
	}
	return data.record(stored), nil
}

func (s *Station) studied(ctx context.Context, r StudyRequest) (data studiedData, err error) {
	data = studiedData{Remark: r.Remark, Plan: r.Plan, Unit: r.Unit}
	switch {
	case !slices.Contains(study.Kinds, r.Plan.Kind):
		return data, fmt.Errorf("%w: say what is asked: %v", gauge.ErrInput, study.Kinds)
	case r.Checks != nil && len(r.Rows) > 0:
		return data, fmt.Errorf("%w: a study takes rows of its own or the readings of stored checks, not both", gauge.ErrInput)
	case r.Checks != nil:
		data.Readings, data.Unit, err = s.checkReadings(ctx, r)
	default:
		data.Readings, data.Unit, err = s.studyReadings(ctx, r)
	}
	if err != nil {
		return data, err
	}
	table, err := StudyTable(r.Gauge, data.Readings)
	if err != nil {
		return data, fmt.Errorf("%w: %w", gauge.ErrInput, err)
	}
	values, err := r.Plan.Read(table, nil)
	if err != nil {
		return data, fmt.Errorf("%w: %w", gauge.ErrInput, err)
	}
	result, err := r.Plan.Evaluate(values)
	if err != nil {
		return data, fmt.Errorf("%w: %w", gauge.ErrRefused, err)
	}
	data.Headline = result.Headline()
	if data.Figures, err = json.Marshal(result.Figures()); err != nil {
		return data, fmt.Errorf("%w: readings of %s: a figure is no number: look at the readings: %w", gauge.ErrRefused, r.Gauge, err)
	}
	return data, nil
}

func (data studiedData) record(f gauge.Fact) *StudyRecord {
	return &StudyRecord{
		Seq: f.Seq, Time: f.Gauge.Time, Gauge: f.Gauge.Gauge, By: f.Gauge.By, Unit: data.Unit, Remark: data.Remark,
		Plan: data.Plan, Readings: data.Readings, Headline: data.Headline, Figures: data.Figures,
	}
}

// Studies returns the stored studies of a gauge, or of all, oldest first.
func (s *Station) Studies(ctx context.Context, gaugeID string) ([]*StudyRecord, error) {
	if gaugeID != "" {
		if _, err := s.Health(gaugeID); err != nil {
			return nil, err
		}
	}
	var records []*StudyRecord
	const page = 1000
	for after := uint64(0); ; {
		facts, err := s.o.Store.GaugeFacts(ctx, gaugeID, after, page)
		if err != nil {
			return nil, err
		}
		for _, f := range facts {
			after = f.Seq
			if f.Gauge.Kind != kindStudied {
				continue
			}
			data, err := unmarshalGauge[studiedData](f.Gauge)
			if err != nil {
				return nil, err
			}
			records = append(records, data.record(f))
		}
		if len(facts) < page {
			return records, nil
		}
	}
}

// Study returns a stored study by its number in the history.
func (s *Station) Study(ctx context.Context, seq uint64) (*StudyRecord, error) {
	if seq > 0 {
		facts, err := s.o.Store.GaugeFacts(ctx, "", seq-1, 1)
		if err != nil {
			return nil, err
		}
		if len(facts) == 1 && facts[0].Seq == seq && facts[0].Gauge.Kind == kindStudied {
			data, err := unmarshalGauge[studiedData](facts[0].Gauge)
			if err != nil {
				return nil, err
			}
			return data.record(facts[0]), nil
		}
	}
	return nil, fmt.Errorf("%w: there is no study %d", gauge.ErrNotFound, seq)
}
