package health

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/study"
)

// The kinds of facts about a gauge.
const (
	KindChecked  = "checked"
	KindStanding = "standing"
	KindVoided   = "check voided" // it was a mistake
	KindBegun    = "check begun"  // somebody begins a check
	KindLeft     = "check left"   // what was begun is given up
	KindUnderWay = "check step"   // what is done in a check that was begun
	// KindRecalled is what was decided about the jobs before a failed check.
	KindRecalled = "recall decided"
	// KindStudied is a study of a gauge. Nothing else follows from it: it changes neither
	// the standing of the gauge nor its drift.
	KindStudied = "studied"
)

// CheckedData has everything that the result follows from.
type CheckedData struct {
	Occasion    string              `json:"occasion,omitempty"`
	Remark      string              `json:"remark,omitempty"`
	Temperature *check.Temperature  `json:"temperature,omitempty"`
	Ability     gauge.Ability       `json:"ability"`
	Plate       gauge.Plate         `json:"plate,omitzero"`
	Found       []check.StoredPoint `json:"found"`
	Result      check.Result        `json:"result"`
	Left        []check.StoredPoint `json:"left,omitempty"`
	LeftResult  *check.Result       `json:"left_result,omitempty"`
	Zero        bool                `json:"zero_return,omitempty"`
	Partial     gauge.Message       `json:"partial,omitzero"` // what the plan wanted besides
	Job         uint64              `json:"job,omitempty"`    // after which it was made
	Number      uint64              `json:"number,omitempty"` // to which the gauge's readings had come
	Begun       uint64              `json:"begun,omitempty"`  // number of its begin in the history
	Past        *PastData           `json:"past,omitempty"`   // it was made before it came in, or elsewhere
}

// PastData is what a check of the past has of its own.
type PastData struct {
	Time        time.Time `json:"time"`
	By          string    `json:"by,omitempty"`
	Place       string    `json:"place,omitempty"`       // such as the laboratory
	Certificate string    `json:"certificate,omitempty"` // its number
	After       uint64    `json:"after"`                 // the last number that the history had at its time
}

// StandingData is what somebody said of whether a gauge may be used.
type StandingData struct {
	Standing Standing `json:"standing"`
	Reason   string   `json:"reason"`
}

// VoidedData names a check that was a mistake.
type VoidedData struct {
	Check  uint64 `json:"check"` // its number in the history
	Reason string `json:"reason"`
}

// RecalledData says what was decided about the jobs before a failed check.
type RecalledData struct {
	Check  uint64 `json:"check"` // from which entry of the history on it found the gauge wrong
	Reason string `json:"reason"`
}

// BegunData is a check as it is to be made, where who begins it leads it to its end; nothing
// for a check whose readings are named when it is recorded.
type BegunData struct {
	Points      []BegunPoint `json:"points,omitempty"`
	Occasion    string       `json:"occasion,omitempty"`
	Temperature string       `json:"temperature,omitempty"` // degrees Celsius, as typed
	Tolerance   string       `json:"tolerance,omitempty"`
}

// BegunPoint is how many readings are wanted at a master.
type BegunPoint struct {
	Master  string `json:"master"`
	Falling bool   `json:"falling,omitempty"`
	Wanted  int    `json:"wanted"`
}

// StepData is what is done in a check: a reading is taken, the last one taken out again, or
// the gauge was adjusted.
type StepData struct {
	Begun    uint64 `json:"begun"`           // the check, by the number of its begin
	Taken    uint64 `json:"taken,omitempty"` // number of the reading
	Adjusted bool   `json:"adjusted,omitempty"`
	After    uint64 `json:"after,omitempty"` // number of the last reading that had been looked at
}

// LeftData names what is given up.
type LeftData struct {
	Begun uint64 `json:"begun,omitempty"` // 0: whatever was begun
}

// StudiedData has everything that the result follows from, and the result.
type StudiedData struct {
	Remark   string          `json:"remark,omitempty"`
	Unit     gauge.Unit      `json:"unit"`
	Plan     study.Plan      `json:"plan"`
	Readings []StudyReading  `json:"readings"`
	Headline study.Headline  `json:"headline"`
	Figures  json.RawMessage `json:"figures"`
}

// Unmarshal decodes the data of a fact about a gauge.
func Unmarshal[T any](f *gauge.GaugeFact) (data T, err error) {
	if err := json.Unmarshal(f.Data, &data); err != nil {
		return data, fmt.Errorf("gauge %s: fact %q: %w", f.Gauge, f.Kind, err)
	}
	if s, ok := any(data).(interface{ sound() error }); ok {
		if err := s.sound(); err != nil {
			return data, fmt.Errorf("gauge %s: fact %q: %w", f.Gauge, f.Kind, err)
		}
	}
	return data, nil
}

// Record is the check that a fact keeps.
func (c CheckedData) Record(f gauge.Fact) *check.Record {
	r := &check.Record{
		Seq: f.Seq, Time: f.Gauge.Time, By: f.Gauge.By, Occasion: c.Occasion, Remark: c.Remark,
		Result: c.Result, Left: c.LeftResult, Zero: c.Zero, Partial: c.Partial, Job: c.Job, Ability: c.Ability, Plate: c.Plate, Temperature: c.Temperature, Points: c.Found, PointsLeft: c.Left,
	}
	if p := c.Past; p != nil {
		r.Time, r.By, r.Past = p.Time, cmp.Or(p.By, r.By), &check.Past{
			Place: p.Place, Certificate: p.Certificate, Came: f.Gauge.Time, Brought: f.Gauge.By, After: p.After,
		}
	}
	return r
}

// Record is the study that a fact keeps.
func (data StudiedData) Record(f gauge.Fact) *StudyRecord {
	return &StudyRecord{
		Seq: f.Seq, Time: f.Gauge.Time, Gauge: f.Gauge.Gauge, By: f.Gauge.By, Unit: data.Unit, Remark: data.Remark,
		Plan: data.Plan, Readings: data.Readings, Headline: data.Headline, Figures: data.Figures,
	}
}

// IsPast reports whether a fact is a check of the past, without decoding every check.
func IsPast(f gauge.Fact) bool {
	return f.Gauge.Kind == KindChecked && bytes.Contains(f.Gauge.Data, []byte(`"past":{`))
}
