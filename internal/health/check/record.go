package check

import (
	"cmp"
	"math"
	"slices"
	"time"

	"gauged/internal/gauge"
)

// ZeroReturn is the occasion of a check that is what a gauge showed at its zero after a job.
const ZeroReturn = "zero return"

// ZeroMaster is the master that is always there.
const ZeroMaster = "zero"

// Record is a stored check.
type Record struct {
	Seq      uint64
	Time     time.Time
	By       string
	Occasion string
	Result   Result
	Left     *Result // after an adjustment
	Remark   string
	Zero     bool          // a zero return: it passes no check that is due
	Partial  gauge.Message // what the plan wants besides: it passes no check that is due either; zero: nothing
	Job      uint64        // after which it was made; 0: none is named
	Uses     uint64        // of the gauge so far, where checks are listed
	Voided   *Voided       // it counts no more; where all checks are listed
	Past     *Past         // it was made before it came in, or elsewhere; nil: here, as it was stored

	Ability     gauge.Ability // of the gauge then
	Plate       gauge.Plate   // likewise
	Temperature *Temperature  // nil: not measured

	Points     []StoredPoint // as found, with their readings; none of a check of the past
	PointsLeft []StoredPoint // as left, likewise
}

// StoredPoint is a point whose readings are in the history.
type StoredPoint struct {
	Point
	Seqs []uint64 `json:"seqs"` // the readings in the history
}

// Voided is why a check counts no more.
type Voided struct {
	Time   time.Time
	By     string
	Reason string
}

// Past is where a check of the past is from, and when it came in.
type Past struct {
	Place       string // such as the laboratory
	Certificate string // its number
	Came        time.Time
	Brought     string // by whom
	After       uint64 // the last number that the history had at its time
}

// Aside reports whether it passes no check that is due: it can only fail the gauge.
func (c *Record) Aside() bool { return c.Zero || !c.Partial.IsZero() }

// What names it in a sentence.
func (c *Record) What() string {
	if c.Zero {
		return ZeroReturn
	}
	return "check"
}

// Place is the entry of the history that it stands at, or right after.
func (c *Record) Place() uint64 {
	if c.Past != nil {
		return c.Past.After
	}
	return c.Seq
}

// Settles is from which entry of the history on the readings are not before it.
func (c *Record) Settles() uint64 {
	if c.Past != nil {
		return c.Past.After + 1
	}
	return c.Seq
}

// Order compares where it stands with a place and a time.
func (c *Record) Order(place uint64, t time.Time) int {
	return cmp.Or(cmp.Compare(c.Place(), place), c.Time.Compare(t))
}

// After is the result with which the gauge went on.
func (c *Record) After() Result {
	if c.Left != nil {
		return *c.Left
	}
	return c.Result
}

// Holds reports whether it was made from a reading.
func (c *Record) Holds(seq uint64) bool {
	return slices.ContainsFunc(slices.Concat(c.Points, c.PointsLeft), func(p StoredPoint) bool { return slices.Contains(p.Seqs, seq) })
}

// Parted are the standard uncertainties of the error at a point, in metres: of what is
// independent from check to check, 0 where nothing is known of it, and of what all
// checks at the point share, the certificate of its master. A check that was stored
// before points had that has it from its master.
func (c *Record) Parted(p PointResult) (independent, shared float64) {
	shared = p.Certificate
	for _, stored := range c.Points {
		if m := stored.Master; shared == 0 && m.ID == p.Master && m.Certified != nil && m.Certified.K > 0 {
			shared = m.Certified.Uncertainty.Metres() / one(m.Certified.K)
		}
	}
	if p.Standard <= shared {
		return 0, shared
	}
	return math.Sqrt((p.Standard - shared) * (p.Standard + shared)), shared
}

// Name is the name of the point: a master, and the side from which it was approached
// where that was from above.
func (p PointResult) Name() string {
	if p.Falling {
		return p.Master + ", falling"
	}
	return p.Master
}

// Good reports whether a gauge is fit for use by the verdict.
func (v Verdict) Good() bool { return v == Pass || v == Unlimited }
