package recall

import (
	"cmp"
	"slices"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// Request names a gauge that was wrong.
type Request struct {
	Gauge    string
	Model    Course        // how the error came about; empty: constant
	Error    *gauge.Length // shown less true, the same at every reading; nil: see Points
	Standard *gauge.Length // standard uncertainty of Error; nil: that of the check, and none for an error that is given
	Points   []Point       // the error at several readings; empty, and without Error: that of its newest failed check since then, else of its last, as found; or what the jobs tell
	Since    time.Time     // zero: the last check before that which passed, or everything when none did
}

// List is what past verdicts come to when the error of a gauge is taken off its
// readings. It points at units to look at again; the verdicts themselves stand.
type List struct {
	Model Course
	Curve []Point       // the error that was taken off, in its full size; one point: the same at every reading
	Since time.Time     // zero: everything
	Until time.Time     // when the error was found; a growing one had its full size then
	Ended time.Time     // when the gauge was good again: adjusted at Until, or a later check passed; zero: it is not
	Check *check.Record // that found it; nil: it was given, or the jobs tell it
	Items []Item        // the gravest changes first

	Flipped   int // no longer conform, or conform now and were said not to
	Undecided int // cannot be decided any more
	Beyond    int // have readings beyond the masters
	ByLimits  int // have a closing dimension that the limits alone decide, as nothing is known of the gauges
}

// Item is a job that was measured with the gauge.
type Item struct {
	Job        uint64
	UnitSerial string
	Started    time.Time
	Closed     time.Time // zero: it is open
	// Measured is the closing dimension as found then: the verified play; else
	// what the sum predicts for the fitted part; else the gap. Nil: there is none.
	Measured  *gauge.Length
	Word      procedure.Word   // how it is called: a negative play is a preload
	Corrected *gauge.Length    // the same with the error taken off
	Allowed   procedure.Limits // of both; without ends where nothing is fitted yet
	Unit      gauge.Unit       // of the three

	Before, After evaluate.Outcome
	// Probability from 0 to 1 that the closing dimension is within its limits, with
	// the error taken off; nil when nothing is known of the gauges: the limits decided by
	// themselves.
	Probability *float64
	Beyond      bool // a reading lay beyond the masters: see Curve

	Change Change

	// ChoseOnly: the gauge only chose the part. The verdict stands on a proof that was
	// measured without it.
	ChoseOnly bool

	Results []ItemResult // that are judged and whose outcome is another one now; first the places whose prediction moves
}

// Correction is Corrected less Measured; nil where one of them is.
func (i Item) Correction() *gauge.Length { return less(i.Corrected, i.Measured) }

// Adjusted reports whether the gauge was adjusted when the error was found.
func (r List) Adjusted() bool { return !r.Ended.IsZero() && r.Ended.Equal(r.Until) }

// Largest is the largest error that was taken off.
func (r List) Largest() Point {
	return slices.MaxFunc(r.Curve, func(a, b Point) int { return cmp.Compare(a.Error.Abs(), b.Error.Abs()) })
}

// Add takes up a job and counts it.
func (r *List) Add(item Item) {
	r.Items = append(r.Items, item)
	if item.Beyond {
		r.Beyond++
	}
	if item.Probability == nil && item.Measured != nil {
		r.ByLimits++
	}
	switch item.Change {
	case Flipped:
		r.Flipped++
	case Doubtful:
		r.Undecided++
	}
}

// graver orders as Order does; of a job whose gauges nothing is known of
// there is no probability, and it comes last among its like.
func graver(a, b Item) int {
	const certainly = 2
	probability := func(i Item) float64 {
		if i.Probability == nil {
			return certainly
		}
		return *i.Probability
	}
	return cmp.Or(cmp.Compare(a.Change, b.Change), cmp.Compare(probability(a), probability(b)), cmp.Compare(a.Job, b.Job))
}

// List is what comes of the error with what became of the jobs, the gravest changes first.
func (e GaugeError) List(items []Item) List {
	l := List{Model: e.Model, Curve: e.curve.Points(), Since: e.Since, Until: e.Until, Ended: e.Ended, Check: e.check}
	for _, item := range slices.SortedFunc(slices.Values(items), graver) {
		l.Add(item)
	}
	return l
}
