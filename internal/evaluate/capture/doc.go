// Package capture finds what a technician wants from an indicator that sends
// all the time: a value at rest, the extremes of a turn, or the play between
// two end stops while a shaft is pushed to and fro.
//
// It is fed one reading at a time and never allocates while it is fed. What it
// returns are readings that the gauge really showed, by the caller's numbers;
// lengths are whole picometres, and no float is involved.
package capture

import (
	"time"

	"gauged/internal/gauge"
)

// Reading is one value of the stream. Numbers rise; time is counted from any
// fixed moment.
type Reading struct {
	Seq   uint64
	Time  time.Duration
	Value gauge.Length
}

// Config says what counts as rest and as travel.
type Config struct {
	Band    gauge.Length  // readings at rest stay within this, largest less smallest
	Quiet   time.Duration // for at least so long
	Count   int           // and at least so many readings
	Gap     time.Duration // readings further apart than this are not joined
	Least   gauge.Length  // a stroke is at least this long
	Strokes int           // wanted, for end stops
}

// With fills in what is not said, from the resolution of the gauge: a rest is
// four display steps wide, 300 ms long and of three readings, which a gauge of
// three readings a second gives in 0.7 s; a stroke is at least three such bands.
func (c Config) With(resolution gauge.Length) Config {
	if c.Band == 0 {
		c.Band = 4 * max(resolution, 1)
	}
	if c.Quiet == 0 {
		c.Quiet = 300 * time.Millisecond
	}
	if c.Count == 0 {
		c.Count = 3
	}
	if c.Gap == 0 {
		c.Gap = 1500 * time.Millisecond
	}
	if c.Least == 0 {
		c.Least = 3 * c.Band
	}
	c.Strokes = max(c.Strokes, 1)
	return c
}
