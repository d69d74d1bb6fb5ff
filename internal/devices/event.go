package devices

import "gauged/internal/gauge"

// Event is what a supervisor reports: exactly one of its pointers is set. A
// reading has no number yet.
type Event struct {
	Reading *gauge.Reading
	Reject  *gauge.Reject
	State   *gauge.StateChange
	Press   *Press
	// Count is 1, or for a rejection that stands for others of the same
	// reason how many there were, itself included.
	Count uint64
}
