package capture

import (
	"slices"
	"time"

	"gauged/internal/gauge"
)

// EndStops finds the play of a shaft that is pushed to and fro. A rest from
// which the motion goes back is a stop; one from which it goes on is a hang,
// as of a shaft that sticks and slips, and is passed over.
type EndStops struct {
	c      Config
	rest   rest
	order  order
	moving direction    // in which the shaft has moved since the last turning point
	far    gauge.Length // how far it has come in that direction
	turns  [mostTurns]turn
	n      int
}

// direction of travel.
type direction int8

const (
	unknown direction = 0
	up      direction = 1
	down    direction = -1
)

// mostTurns bounds the turning points that are kept.
const mostTurns = 128

// turn is a place where the motion went back, or where it broke off.
type turn struct {
	kind  turnKind
	side  direction // travel that led to it
	at    Reading   // the middle reading of the rest; for a turn without a rest the extreme
	lasts time.Duration
	open  bool // where the motion went from here was not seen
}

type turnKind uint8

const (
	stopped   turnKind = iota // with a rest
	unrested                  // without a rest
	brokenOff                 // the stream paused
)

// NewEndStops returns an EndStops.
func NewEndStops(c Config) *EndStops {
	e := &EndStops{c: c}
	e.rest.c = &e.c
	return e
}

// Step takes the next reading of the stream.
func (e *EndStops) Step(x Reading) {
	use, gap := e.order.check(x, &e.c)
	if !use || e.n == mostTurns {
		return
	}
	if gap {
		if e.resting() {
			e.keep(e.present())
		}
		e.keep(turn{kind: brokenOff, at: x})
		e.rest.clear()
		e.moving = unknown
	}
	if e.rest.established() && !e.rest.fits(x.Value) {
		e.leave(x)
	}
	e.rest.add(x)
	e.travel(x)
}

// resting reports whether the shaft rests after a motion.
func (e *EndStops) resting() bool { return e.rest.established() && e.moving != unknown }

// present is the present rest as a turning point.
func (e *EndStops) present() turn {
	return turn{kind: stopped, side: e.moving, at: e.rest.median(), lasts: e.rest.lasts(), open: true}
}

func (e *EndStops) keep(t turn) {
	if e.n < mostTurns {
		e.turns[e.n] = t
		e.n++
	}
}

// leave ends a rest: it was a stop when the motion goes back.
func (e *EndStops) leave(x Reading) {
	at := e.rest.median()
	away := up
	if x.Value < at.Value {
		away = down
	}
	if e.moving != away {
		e.keep(turn{kind: stopped, side: -away, at: at, lasts: e.rest.lasts()})
	}
	e.moving, e.far = away, x.Value
}

// travel notices a motion that goes back without a rest.
func (e *EndStops) travel(x Reading) {
	if e.moving == unknown || e.rest.established() {
		return
	}
	if ahead := gauge.Length(e.moving) * (x.Value - e.far); ahead > 0 {
		e.far = x.Value
	} else if -ahead > 2*e.c.Band {
		e.keep(turn{kind: unrested, side: e.moving, at: Reading{Seq: x.Seq, Time: x.Time, Value: e.far}})
		e.moving, e.far = -e.moving, x.Value
	}
}

// Stroke is one way from stop to stop.
type Stroke struct {
	From, To Reading // middle readings of both rests
}

// Play is the length of the stroke.
func (s Stroke) Play() gauge.Length { return (s.To.Value - s.From.Value).Abs() }

// Fault is a stroke that gave no play.
type Fault struct {
	At     Reading
	Reason Reason
	By     gauge.Length // how far it stayed short of, or went beyond, the other stops of its side
}

// Reason says why a stroke gave no play.
type Reason string

// The reasons.
const (
	Short    Reason = "did not reach the stop"
	Beyond   Reason = "went beyond the other stops"
	NoRest   Reason = "went back without resting at the stop"
	Dropout  Reason = "the gauge paused"
	TooSmall Reason = "moved too little"
)

// Found is what the motion has given so far.
type Found struct {
	Strokes []Stroke
	Faults  []Fault
	Done    bool // as many strokes as wanted
	Resting bool // at rest now
}

// Found looks at all turning points so far, and at the present rest.
func (e *EndStops) Found() Found {
	turns := append([]turn(nil), e.turns[:e.n]...)
	if e.resting() {
		turns = append(turns, e.present())
	}
	found := Found{Resting: e.rest.established()}
	reference := map[direction]gauge.Length{up: e.reference(turns, up), down: e.reference(turns, down)}
	good := make([]bool, len(turns))
	for i, t := range turns {
		fault, ok := e.judge(t, reference[t.side])
		good[i] = ok && !(t.open && e.maybeHang(i, turns))
		if !ok && (!t.open || t.lasts >= 3*e.c.Quiet) {
			found.Faults = append(found.Faults, fault)
		}
	}
	for i := 1; i < len(turns); i++ {
		if !good[i-1] || !good[i] || turns[i].side == turns[i-1].side {
			continue
		}
		s := Stroke{turns[i-1].at, turns[i].at}
		if s.Play() < e.c.Least {
			found.Faults = append(found.Faults, Fault{At: turns[i].at, Reason: TooSmall, By: e.c.Least - s.Play()})
			continue
		}
		found.Strokes = append(found.Strokes, s)
	}
	found.Done = len(found.Strokes) >= e.c.Strokes
	return found
}

// tolerance is how far stops of one side may lie apart.
func (e *EndStops) tolerance() gauge.Length { return 2 * e.c.Band }

// judge says whether a turning point is a stop like the others of its side.
func (e *EndStops) judge(t turn, reference gauge.Length) (Fault, bool) {
	switch t.kind {
	case brokenOff:
		return Fault{At: t.at, Reason: Dropout}, false
	case unrested:
		return Fault{At: t.at, Reason: NoRest}, false
	}
	ahead := gauge.Length(t.side) * (t.at.Value - reference)
	switch {
	case ahead < -e.tolerance():
		return Fault{At: t.at, Reason: Short, By: -ahead}, false
	case ahead > e.tolerance():
		return Fault{At: t.at, Reason: Beyond, By: ahead}, false
	}
	return Fault{}, true
}

// reference is where the stop of a side is: the middle of three or more rests,
// of fewer the farthest, because nothing goes beyond a stop.
func (e *EndStops) reference(turns []turn, side direction) gauge.Length {
	var at []gauge.Length
	for _, t := range turns {
		if t.kind == stopped && t.side == side {
			at = append(at, gauge.Length(side)*t.at.Value)
		}
	}
	if len(at) == 0 {
		return 0
	}
	slices.Sort(at)
	if len(at) < 3 {
		return gauge.Length(side) * at[len(at)-1]
	}
	return gauge.Length(side) * at[len(at)/2]
}

// maybeHang reports whether a rest of which the end was not seen may be a hang:
// it agrees with no other stop of its side and has not lasted three times as
// long as a rest must.
func (e *EndStops) maybeHang(i int, turns []turn) bool {
	t := turns[i]
	if t.lasts >= 3*e.c.Quiet {
		return false
	}
	for j, other := range turns {
		if j != i && other.kind == stopped && other.side == t.side && (other.at.Value-t.at.Value).Abs() <= e.tolerance() {
			return false
		}
	}
	return true
}
