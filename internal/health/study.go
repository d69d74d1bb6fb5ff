package health

import (
	"encoding/json"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/study"
)

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

// StudySource is what a study is made from.
type StudySource struct {
	Masters map[string]check.Master
	Now     time.Time
	Unit    gauge.Unit                               // of the gauge; unknown: nothing tells
	Reading func(seq uint64) (*gauge.Reading, error) // a stored one
	Checks  func() ([]*check.Record, error)          // of the gauge, that count, oldest first
}

// Study makes the study. Its record has neither number nor time: it is not stored. Errors
// are of gauge's kinds.
func (r StudyRequest) Study(from StudySource) (made StudyRecord, err error) {
	made = StudyRecord{Gauge: r.Gauge, By: r.By, Remark: r.Remark, Plan: r.Plan}
	switch {
	case !slices.Contains(study.Kinds, r.Plan.Kind):
		return made, gauge.WrongInput("refusal.study.kind", gauge.Texts("kinds", study.KindNames()))
	case r.Checks != nil && len(r.Rows) > 0:
		return made, gauge.WrongInput("refusal.study.two-sources")
	case r.Checks != nil:
		made.Readings, made.Unit, err = r.checkReadings(from)
	default:
		made.Readings, made.Unit, err = r.readings(from)
	}
	if err != nil {
		return made, err
	}
	table, err := StudyTable(r.Gauge, made.Readings)
	if err != nil {
		return made, gauge.WrongInput("refusal.study.table", gauge.Because("why", err))
	}
	values, err := r.Plan.Read(table, nil)
	if err != nil {
		return made, gauge.WrongInput("refusal.study.table", gauge.Because("why", err))
	}
	result, err := r.Plan.Evaluate(values)
	if err != nil {
		return made, gauge.Refused("refusal.study.figures", gauge.Because("why", err))
	}
	made.Headline = result.Headline()
	if made.Figures, err = json.Marshal(result.Figures()); err != nil {
		return made, gauge.Refused("refusal.study.no-number", gauge.Text("gauge", r.Gauge))
	}
	return made, nil
}
