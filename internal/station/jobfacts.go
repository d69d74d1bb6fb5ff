package station

import (
	"encoding/json"
	"fmt"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// The kinds of job facts, and the shapes of their data. Lengths are picometres.
const (
	kindStarted      = "started"
	kindAcknowledged = "acknowledged" // the cautions were read
	kindTaken        = "taken"
	kindDiscarded    = "discarded"
	kindChosen       = "chosen"
	kindFitted       = "fitted"
	kindVerdict      = "verdict" // data: an evaluate.Evaluation
	kindVerified     = "verified"
	kindClosed       = "closed"
)

type startedData struct {
	UnitSerial    string            `json:"unit_serial"`
	ProcedureHash string            `json:"procedure_hash"`
	PartsHash     string            `json:"parts_hash,omitempty"`
	OtherParts    []string          `json:"other_parts,omitempty"` // of further families, in the order of their places
	Gauges        map[string]string `json:"gauges,omitempty"`      // by measurement; marshalled in order of the keys
	// What was known of the gauge of each measurement, so that a verdict can be
	// computed again when the configuration has changed.
	Abilities map[string]gauge.Ability `json:"abilities,omitempty"`
	Warnings  []string                 `json:"warnings,omitempty"` // of gauges whose check was due
	Typed     []string                 `json:"typed,omitempty"`    // gauges without a connection
}

// parts are the hashes of the families that the job chooses from.
func (d startedData) parts() []string {
	if d.PartsHash == "" {
		return nil
	}
	return append([]string{d.PartsHash}, d.OtherParts...)
}

type takenData struct {
	Reading     uint64 `json:"reading"`        // its number in the history
	From        uint64 `json:"from,omitempty"` // the value is the way from this reading to the other
	Measurement string `json:"measurement"`
}

type discardedData struct {
	Reading uint64 `json:"reading"`
	Reason  string `json:"reason"`
}

type chosenData struct {
	Place  string `json:"place,omitempty"`
	Part   string `json:"part"` // empty: what was settled is taken back
	Reason string `json:"reason,omitempty"`
}

type fittedData struct {
	Place     string        `json:"place,omitempty"`
	Part      string        `json:"part"`
	Thickness *gauge.Length `json:"thickness,omitempty"` // measured
	Shown     string        `json:"shown,omitempty"`     // as it was written
	Unit      gauge.Unit    `json:"unit,omitzero"`
}

// verdictData is what is asked of a stored evaluation.
type verdictData struct {
	Outcome evaluate.Outcome `json:"outcome"`
}

type closedData struct {
	Reason   string   `json:"reason,omitempty"`
	Warnings []string `json:"warnings,omitempty"` // of the gauges, that the start did not have
}

// marshal encodes the data of a job fact; these shapes cannot fail.
func marshal(data any) []byte {
	encoded, err := json.Marshal(data)
	if err != nil {
		panic(fmt.Sprintf("data of a job fact: %v", err))
	}
	return encoded
}

func unmarshal[T any](f *gauge.JobFact) (T, error) {
	var data T
	if err := json.Unmarshal(f.Data, &data); err != nil {
		return data, fmt.Errorf("job %d: fact %q: %w", f.Job, f.Kind, err)
	}
	return data, nil
}
