package procedure

import "gauged/internal/gauge"

// Carried is what a round takes over from the one before in the place of a
// measurement.
type Carried struct {
	Name      string
	Unit      gauge.Unit
	Play      PlayState
	Least     *gauge.Length // that must be felt; nil: what the gauge can show
	Plausible Limits
	Tight     bool // it may be a preload, which is below nought
}
