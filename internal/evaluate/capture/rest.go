package capture

import (
	"time"

	"gauged/internal/gauge"
)

// held bounds the readings of a rest that are looked at: the newest.
const held = 64

// rest is the newest stretch of readings within the band.
type rest struct {
	c       *Config
	ring    [held]Reading
	first   int // index of the oldest
	n       int
	since   time.Duration // when the stretch began, which may be before the oldest reading held
	scratch [held]Reading
}

func (r *rest) at(i int) *Reading { return &r.ring[(r.first+i)%held] }

func (r *rest) clear() { r.n = 0 }

// fits reports whether a further reading would leave the stretch within the band.
func (r *rest) fits(v gauge.Length) bool {
	low, high := v, v
	for i := range r.n {
		low, high = min(low, r.at(i).Value), max(high, r.at(i).Value)
	}
	return high-low <= r.c.Band
}

// add takes a reading; where it does not fit, the oldest readings go until the
// rest do.
func (r *rest) add(x Reading) {
	for !r.fits(x.Value) {
		r.drop()
	}
	if r.n == held {
		since := r.since
		r.drop()
		r.since = since
	}
	if r.n == 0 {
		r.since = x.Time
	}
	*r.at(r.n) = x
	r.n++
}

func (r *rest) drop() {
	r.first, r.n = (r.first+1)%held, r.n-1
	if r.n > 0 {
		r.since = r.at(0).Time
	}
}

// lasts is how long the stretch has lasted.
func (r *rest) lasts() time.Duration {
	if r.n == 0 {
		return 0
	}
	return r.at(r.n-1).Time - r.since
}

// established reports whether the stretch counts as a rest.
func (r *rest) established() bool { return r.n >= r.c.Count && r.lasts() >= r.c.Quiet }

// median returns the middle reading of the stretch by value; of two, the older.
func (r *rest) median() Reading {
	for i := range r.n {
		x := *r.at(i)
		j := i
		for ; j > 0 && (r.scratch[j-1].Value > x.Value || r.scratch[j-1].Value == x.Value && r.scratch[j-1].Seq > x.Seq); j-- {
			r.scratch[j] = r.scratch[j-1]
		}
		r.scratch[j] = x
	}
	return r.scratch[(r.n-1)/2]
}

// order drops what comes twice, and reports a gap in time. A clock that was set
// back is a gap too: how long things last is not known across it.
type order struct {
	last Reading
	any  bool
}

func (o *order) check(x Reading, c *Config) (use, gap bool) {
	if o.any && x.Seq <= o.last.Seq {
		return false, false
	}
	gap = o.any && (x.Time-o.last.Time > c.Gap || x.Time < o.last.Time)
	o.last, o.any = x, true
	return true, gap
}
