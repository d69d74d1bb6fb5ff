package signs

import (
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// History is what there is to look at: the newest of a gauge.
type History struct {
	Gauge    Gauge
	Readings []*gauge.Reading // oldest first
	Rejects  int              // rejected frames among them, of one that sends all the time
	Checks   []*check.Record  // that count, oldest first
	Jobs     []Job            // that measured with it, oldest first
}

// Gauge is what is known of a gauge beforehand.
type Gauge struct {
	Mode       gauge.Mode
	Fresh      time.Duration // one that sends all the time was away when it was silent for longer; 0: no limit
	Resolution gauge.Length  // the step of its display where its ability does not have it; 0: not stated
	Ability    gauge.Ability
	Pitch      gauge.Length   // that its electronics count in; 0: not stated
	Presets    []gauge.Length // that may have been left on; each master may have served as one
}

// Job is what a job says of the gauge.
type Job struct {
	Procedure string
	Plausible map[string]Range          // of measurements, where both ends are stated
	Values    map[string][]gauge.Length // by measurement; those that count, or all where none does
	Own       map[string][]gauge.Length // those of them that are the gauge's
	Movements []Movement
}

// Range is what a measurement can come to.
type Range struct{ Low, High gauge.Length }

// Movement is what the stream of the gauge showed between two readings of a capture.
type Movement struct {
	Measurement string
	From, To    gauge.Length
	Stroke      bool // from stop to stop, else a turn
	Values      []gauge.Length
}

// Sign is what one look at a gauge's own readings says: that something is the
// matter, that nothing is, or why it cannot be judged.
type Sign struct {
	Kind    Kind
	Found   bool
	Detail  gauge.Message // what was found
	Refused gauge.Message // why it cannot be judged
}
