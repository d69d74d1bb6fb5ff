package procedure

import (
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Moving is how readings are taken from an indicator that sends all the time.
// Zero fields are left to the gauge's resolution.
type Moving struct {
	Kind    MovingKind
	Band    gauge.Length  // readings at rest stay within this, in the step's unit
	Quiet   time.Duration // for at least so long
	Count   int           // and at least so many readings
	Least   gauge.Length  // an end play or a turn moves the indicator by at least this
	Strokes int           // to and fro, for end stops
}

// turnReadings is how many readings a turn needs, which its capture gives all at
// once: the smallest and the largest, and where it must close the first and the
// last.
func turnReadings(closes bool) int {
	if closes {
		return 4
	}
	return 2
}

// isTurn reports whether what is written under capture is a turn.
func isTurn(v shopfile.Value) bool {
	if v.IsMap() {
		return v.Map().Get(string(MovingTurn)).Given()
	}
	return v.Given() && v.Text() == string(MovingTurn)
}

// MovingKind is what is looked for in the motion.
type MovingKind string

// The kinds.
const (
	MovingStable   MovingKind = "stable"    // a value at rest
	MovingTurn     MovingKind = "turn"      // the smallest and the largest reading of a turn
	MovingEndStops MovingKind = "end stops" // the play between two stops, once per stroke
)

// moving reads how a step takes its readings from a moving indicator.
func (r *procedureReader) moving(v shopfile.Value, s *Step) *Moving {
	if !v.Given() {
		return nil
	}
	c := &Moving{Strokes: s.Repeats}
	if !v.IsMap() {
		c.Kind = MovingKind(v.OneOf(string(MovingStable), string(MovingTurn), string(MovingEndStops)))
	} else {
		m := v.Map()
		for _, kind := range []MovingKind{MovingStable, MovingTurn, MovingEndStops} {
			if detail := m.Get(string(kind)); detail.Given() {
				c.Kind = kind
				r.movingDetail(detail, s, c)
			}
		}
		m.Done()
	}
	switch {
	case len(s.Codes) > 0:
		v.Wrong(gauge.Say("entry.motion-marks"))
	case s.Unit.Kind() != gauge.KindLength:
		v.Wrong(gauge.Say("entry.motion-unit"))
	case c.Kind == MovingTurn && s.Take != TakeRange:
		v.Wrong(gauge.Say("entry.motion-turn"))
	case c.Kind == MovingEndStops && s.Take == TakeRange:
		v.Wrong(gauge.Say("entry.motion-stroke"))
	}
	return c
}

func (r *procedureReader) movingDetail(v shopfile.Value, s *Step, c *Moving) {
	m := v.Map()
	if band := m.Get("band"); band.Given() {
		c.Band = *band.Positive(s.Unit, false)
	}
	if quiet := m.Get("quiet"); quiet.Given() {
		c.Quiet = quiet.Duration()
	}
	if readings := m.Get("readings"); readings.Given() {
		c.Count = readings.Int(2, most)
	}
	if least := m.Get("least"); least.Given() && c.Kind != MovingStable {
		c.Least = *least.Positive(s.Unit, false)
	}
	m.Done()
}
