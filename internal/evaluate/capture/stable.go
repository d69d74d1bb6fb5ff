package capture

import "time"

// Stable waits for a value at rest.
type Stable struct {
	c     Config
	rest  rest
	order order
}

// NewStable returns a Stable.
func NewStable(c Config) *Stable {
	s := &Stable{c: c}
	s.rest.c = &s.c
	return s
}

// Step takes the next reading of the stream. It returns the middle reading of
// the rest as soon as there is one.
func (s *Stable) Step(x Reading) (Reading, bool) {
	use, gap := s.order.check(x, &s.c)
	if !use {
		return Reading{}, false
	}
	if gap {
		s.rest.clear()
	}
	s.rest.add(x)
	if !s.rest.established() {
		return Reading{}, false
	}
	return s.rest.median(), true
}

// TurnLasts is how long a turn is watched.
const TurnLasts = 10 * time.Second

// Turn keeps the extremes of a turn.
type Turn struct {
	c     Config
	order order
	gaps  int

	First, Last, Smallest, Largest Reading
	Readings                       int
}

// NewTurn returns a Turn.
func NewTurn(c Config) *Turn { return &Turn{c: c} }

// Step takes the next reading of the stream.
func (t *Turn) Step(x Reading) {
	use, gap := t.order.check(x, &t.c)
	if !use {
		return
	}
	if gap {
		t.gaps++
	}
	if t.Readings++; t.Readings == 1 {
		t.First, t.Smallest, t.Largest = x, x, x
	}
	t.Last = x
	if x.Value < t.Smallest.Value {
		t.Smallest = x
	}
	if x.Value > t.Largest.Value {
		t.Largest = x
	}
}

// Gaps is how often the stream paused: an extreme may have passed meanwhile.
func (t *Turn) Gaps() int { return t.gaps }
