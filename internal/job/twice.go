package job

import (
	"time"

	"gauged/internal/gauge"
)

// newest is what the next press of a gauge is held against.
type newest struct {
	gauge, measurement string
	at                 time.Time
}

// PressedTwice reports whether a press comes so soon after the reading of its gauge that
// finished a measurement that the finger was still on it. A clock that was set back
// holds nothing up.
func (j *Job) PressedTwice(r *gauge.Reading) bool {
	return r.Gauge == j.newest.gauge && j.Measuring != j.newest.measurement && r.Time.Sub(j.newest.at).Abs() < gauge.PressedTwiceWithin
}
