// Package letter is what exits hand to those who bring it: the event of a fact as it is
// written, and what they share for that.
package letter

import (
	"context"

	"gauged/internal/gauge"
)

// Letter is the event of a fact as it is handed on.
type Letter struct {
	Fact gauge.Fact
	ID   string     // the same at each repeat of this event, and no other one's
	Unit gauge.Unit // of what was measured in it; UnitUnknown: nothing was
	Body []byte     // JSON of a message ExitEvent
}

// Write writes the letter of a fact.
type Write func(ctx context.Context, f gauge.Fact) (Letter, error)

// Readings is what has become of readings that an exit hands on besides letters, since the start.
type Readings struct {
	Taken   uint64
	Thinned uint64 // a later one of the gauge took its place, as the policy has it
	Away    uint64 // a later one took its place while there was no connection
	Refused uint64 // the receiver did not take it
}
