package job

import (
	"encoding/json"
	"fmt"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// The kinds of job facts, and the shapes of their data. Lengths are picometres.
const (
	KindStarted      = "started"
	KindAcknowledged = "acknowledged" // the cautions were read
	KindTaken        = "taken"
	KindDiscarded    = "discarded"
	KindChosen       = "chosen"
	KindFitted       = "fitted"
	KindVerdict      = "verdict" // data: an evaluate.Evaluation; one that measures takes the verdict before it back
	KindVerified     = "verified"
	KindClosed       = "closed"
)

// StartedData is what a job is started with.
type StartedData struct {
	UnitSerial    string            `json:"unit_serial"`
	ProcedureHash string            `json:"procedure_hash"`
	PartsHash     string            `json:"parts_hash,omitempty"`
	OtherParts    []string          `json:"other_parts,omitempty"` // of further families, in the order of their places
	Gauges        map[string]string `json:"gauges,omitempty"`      // by measurement; marshalled in order of the keys
	// What was known of the gauge of each measurement, so that a verdict can be
	// computed again when the configuration has changed.
	Abilities map[string]gauge.Ability `json:"abilities,omitempty"`
	Warnings  []gauge.Message          `json:"warnings,omitempty"` // of gauges whose check was due
	Typed     []string                 `json:"typed,omitempty"`    // gauges without a connection
	Labels    Labels                   `json:"labels,omitempty"`   // such as the order that it belongs to
	// Rules are those by which the job is evaluated all its life, so that a verdict that is
	// stored comes out again as it was when the program has others by then.
	Rules int `json:"rules,omitempty"`
}

// Rules by which a job is evaluated that starts now. By those of 0, which jobs of earlier
// programs have, the budget of the predicted play is that of the recommended part, also
// where another was fitted, and what that one leaves is not told. By those of 1 and before, a
// play of two readings that came from two gauges counts as any other. By those of 2 and before,
// all that was typed in without a gauge came from one.
const Rules = 3

// parts are the hashes of the families that the job chooses from.
func (d StartedData) parts() []string {
	if d.PartsHash == "" {
		return nil
	}
	return append([]string{d.PartsHash}, d.OtherParts...)
}

// ChooseFrom has the job choose from the families of its procedure, in these versions.
func (d *StartedData) ChooseFrom(p *procedure.Procedure, f procedure.Families) {
	for i, family := range p.FamilyIDs() {
		if hash := f[family].Hash; i == 0 {
			d.PartsHash = hash
		} else {
			d.OtherParts = append(d.OtherParts, hash)
		}
	}
}

// TakenData is a reading that is taken into a measurement.
type TakenData struct {
	Reading     uint64 `json:"reading"`        // its number in the history
	From        uint64 `json:"from,omitempty"` // the value is the way from this reading to the other
	Measurement string `json:"measurement"`
}

// DiscardedData is a reading that does not count.
type DiscardedData struct {
	Reading uint64 `json:"reading"`
	Reason  string `json:"reason"`
}

// ChosenData is a part that is settled for a place.
type ChosenData struct {
	Place  string `json:"place,omitempty"`
	Part   string `json:"part"` // empty: what was settled is taken back
	Reason string `json:"reason,omitempty"`
}

// FittedData is a part that was fitted at a place.
type FittedData struct {
	Place     string        `json:"place,omitempty"`
	Part      string        `json:"part"`
	Thickness *gauge.Length `json:"thickness,omitempty"` // measured
	Shown     string        `json:"shown,omitempty"`     // as it was written
	Unit      gauge.Unit    `json:"unit,omitzero"`
}

// VerdictData is what is asked of a stored evaluation.
type VerdictData struct {
	Outcome evaluate.Outcome `json:"outcome"`
}

// ClosedData is how a job was closed.
type ClosedData struct {
	Reason   string          `json:"reason,omitempty"`
	Warnings []gauge.Message `json:"warnings,omitempty"` // of the gauges, that the start did not have
}

// Marshal encodes the data of a fact; these shapes cannot fail.
func Marshal(data any) []byte {
	encoded, err := json.Marshal(data)
	if err != nil {
		panic(fmt.Sprintf("data of a job fact: %v", err))
	}
	return encoded
}

// Unmarshal decodes the data of a job fact.
func Unmarshal[T any](f *gauge.JobFact) (T, error) {
	var data T
	if err := json.Unmarshal(f.Data, &data); err != nil {
		return data, fmt.Errorf("job %d: fact %q: %w", f.Job, f.Kind, err)
	}
	return data, nil
}

// Verdict returns the outcome of a fact that is a verdict, and false for any other.
func Verdict(f gauge.Fact) (evaluate.Outcome, bool) {
	if f.Job == nil || f.Job.Kind != KindVerdict {
		return "", false
	}
	e, err := Unmarshal[VerdictData](f.Job)
	return e.Outcome, err == nil
}

// TakenBy is the number of the reading that a fact takes into a job; 0 for any other fact.
func TakenBy(f gauge.Fact) uint64 {
	if f.Job == nil || f.Job.Kind != KindTaken {
		return 0
	}
	data, err := Unmarshal[TakenData](f.Job)
	if err != nil {
		return 0
	}
	return data.Reading
}
