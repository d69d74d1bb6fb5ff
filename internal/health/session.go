package health

import (
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// LongestCheck is how long a check may take from its begin on; ours. What was begun
// before that is begun anew, so that yesterday's readings are no check of today.
const LongestCheck = 24 * time.Hour

// Begun is a check that is being made.
type Begun struct {
	Seq  uint64 // its number in the history: the readings of the check come after it
	Time time.Time
	By   string
	BegunData
	Steps []StepData // that were taken in it
}

// BegunBy is what a fact begins.
func BegunBy(f gauge.Fact) (Begun, error) {
	data, err := Unmarshal[BegunData](f.Gauge)
	return Begun{Seq: f.Seq, Time: f.Gauge.Time, By: f.Gauge.By, BegunData: data}, err
}

// UnderWay is the check begun last that says how it is to be made; nil: none is.
func (h *Gauge) UnderWay(now time.Time) *Begun {
	if h == nil {
		return nil
	}
	for _, b := range slices.Backward(h.Begun) {
		if len(b.Points) > 0 && now.Sub(b.Time) <= LongestCheck {
			return &b
		}
	}
	return nil
}

// Checking is the check that the readings of a gauge go to now; nil when none is made.
func (h *Gauge) Checking(now time.Time) *Begun {
	if h == nil || len(h.Begun) == 0 {
		return nil
	}
	if last := h.Begun[len(h.Begun)-1]; now.Sub(last.Time) <= LongestCheck {
		return &last
	}
	return nil
}

// Session is the check that was begun, by its number; 0 is the one begun last.
func (h *Gauge) Session(gaugeID string, seq uint64, now time.Time) (b Begun, err error) {
	of := gauge.Text("gauge", gaugeID)
	i := len(h.Begun) - 1
	if seq != 0 {
		i = slices.IndexFunc(h.Begun, func(b Begun) bool { return b.Seq == seq })
	}
	switch {
	case i < 0 && seq != 0 && seq < h.recorded:
		return b, gauge.Refused("refusal.check.recorded-since", gauge.Count("check", h.recorded), of, gauge.Count("begun", seq))
	case i < 0 && seq != 0:
		return b, gauge.WrongInput("refusal.check.no-begin", gauge.Count("number", seq), of)
	case i < 0:
		return b, gauge.Refused("refusal.check.none-begun", of)
	}
	b = h.Begun[i]
	if now.Sub(b.Time) > LongestCheck {
		return b, gauge.Refused("refusal.check.begun-long-ago", of, gauge.Moment("begun", b.Time))
	}
	return b, nil
}

// Takes refuses readings that are not of this session, or that count already.
func (h *Gauge) Takes(b Begun, points []check.StoredPoint) error {
	at := map[uint64]string{}
	for _, p := range points {
		for _, seq := range p.Seqs {
			there, twice := at[seq]
			switch {
			case twice:
				return gauge.WrongInput("refusal.check.reading-twice", gauge.Count("reading", seq), gauge.Text("first", there), gauge.Text("second", p.Master.ID))
			case seq <= b.Seq:
				return &TakenBefore{seq, b}
			case slices.Contains(h.zeros, seq):
				return gauge.Refused("refusal.check.reading-is-zero", gauge.Count("reading", seq))
			}
			at[seq] = p.Master.ID
		}
	}
	return nil
}

// TakenBefore refuses a reading that came before the check was begun.
type TakenBefore struct {
	Seq   uint64
	Begun Begun
}

// Error is that of the refusal.
func (e *TakenBefore) Error() string { return e.Unwrap().Error() }

// Unwrap is the refusal.
func (e *TakenBefore) Unwrap() error {
	return gauge.Refused("refusal.check.reading-before", gauge.Count("reading", e.Seq), gauge.Moment("begun", e.Begun.Time))
}

// Held refuses a reading that a check has.
func Held(seq uint64, c *check.Record) error {
	what := "because.in.check"
	if c.Zero {
		what = "because.in.zero-return"
	}
	return gauge.Refused("refusal.check.reading-held", gauge.Count("reading", seq), gauge.Word("what", what), gauge.Moment("made", c.Time), gauge.Count("number", c.Seq))
}

// Unused refuses a reading that another check has.
func (h *Gauge) Unused(seq uint64) error {
	switch last := h.Last; {
	case last != nil && last.Holds(seq):
		return Held(seq, last)
	case seq < h.recorded || slices.ContainsFunc(h.zeros, func(zero uint64) bool { return seq <= zero }):
		return gauge.Refused("refusal.zero.before-last", gauge.Count("reading", seq))
	}
	return nil
}

// ZeroWithin is how near to zero a zero return is; nil where it is not stated.
func (h *Gauge) ZeroWithin() *gauge.Length {
	if h.Plan == nil {
		return nil
	}
	return h.Plan.ZeroWithin
}

// begins notes in the health what a fact does to the checks that are being made.
func (h *Gauge) begins(f gauge.Fact) error {
	b, err := BegunBy(f)
	h.Begun = append(slices.Clip(h.Begun), b)
	return err
}

// goesOn notes a step of a check that is being made.
func (h *Gauge) goesOn(step StepData) {
	h.Begun = slices.Clone(h.Begun)
	for i := range h.Begun {
		if b := &h.Begun[i]; b.Seq == step.Begun {
			b.Steps = append(slices.Clip(b.Steps), step)
		}
	}
}

// leaves notes that what was begun is given up.
func (h *Gauge) leaves(left LeftData) {
	h.Begun = slices.DeleteFunc(slices.Clone(h.Begun), func(b Begun) bool { return left.Begun == 0 || b.Seq == left.Begun })
}

// ends notes that a check was recorded, which ends what was begun before it.
func (h *Gauge) ends(c *check.Record) {
	if c.Zero {
		for _, p := range c.Points {
			h.zeros = append(slices.Clip(h.zeros), p.Seqs...)
		}
		return
	}
	h.recorded, h.Begun, h.zeros = c.Seq, nil, nil
}
