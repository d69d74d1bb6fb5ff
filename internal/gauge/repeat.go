package gauge

import (
	"math"
	"strings"
	"time"
)

// How soon the same again is no second one; common practice, no source.
const (
	// BounceTime is for a frame of a button gauge that shows what the one before did: its
	// button bounced, for nobody measures twice in that time.
	BounceTime = 150 * time.Millisecond
	// TwiceWithin is for a press that takes a step: an accident of the foot, which would skip
	// a step or discard a second reading.
	TwiceWithin = time.Second
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

// trembles is by how many steps the display may move between two contacts of one press. A
// frame that is further off is kept, because of a busy machine several presses come at once.
// Common practice, no source.
const trembles = 2

// Contact notices the second contact of one press of a button. The zero value has seen nothing.
type Contact struct {
	last   Repeat
	before Reading
}

// Again reports whether a reading shows what the last one did, but for the last digit, less
// than a time after it, and remembers this one. step is that of the display; 0: the one of its
// last digit.
func (c *Contact) Again(r Reading, step Length, within time.Duration) bool {
	before := c.before
	c.before = r
	_, decimals, _ := strings.Cut(r.Shown, ".")
	step = max(step, r.Unit.Size()/Length(math.Pow10(len(decimals))))
	return c.last.Soon("", r.Time, within) && r.Unit == before.Unit && (r.Value-before.Value).Abs() <= trembles*step
}
