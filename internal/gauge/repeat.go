package gauge

import "time"

// How soon the same again is no second one; common practice, no source.
const (
	// BounceTime is for an identical frame of a button gauge: its button bounced, for nobody
	// measures twice in that time. A frame that shows something else is never thrown away: a
	// frame has the time at which it was read, and a busy machine reads several presses at once.
	BounceTime = 150 * time.Millisecond
	// TwiceWithin is for a press that takes a step: an accident of the foot, which would skip
	// a step or discard a second reading.
	TwiceWithin = time.Second
	// PressedTwiceWithin is for the data button of a gauge whose last press finished a
	// measurement: the next part is not under the gauge in that time.
	PressedTwiceWithin = 800 * time.Millisecond
)

// Repeat notices what comes twice. The zero value has seen nothing.
type Repeat struct {
	what string
	at   time.Time
	seen bool
}

// Soon reports whether the last that came was the same, less than a time ago, and
// remembers this one.
func (r *Repeat) Soon(what string, at time.Time, within time.Duration) bool {
	soon := r.seen && what == r.what && at.Sub(r.at) < within
	*r = Repeat{what, at, true}
	return soon
}
