package health

import (
	"fmt"
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
}

// BegunBy is what a fact begins.
func BegunBy(f gauge.Fact) Begun { return Begun{f.Seq, f.Gauge.Time, f.Gauge.By} }

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
	const again = "begin it again (gaugectl master begin), and take its readings then"
	i := len(h.Begun) - 1
	if seq != 0 {
		i = slices.IndexFunc(h.Begun, func(b Begun) bool { return b.Seq == seq })
	}
	switch {
	case i < 0 && seq != 0 && seq < h.recorded:
		return b, fmt.Errorf("%w: check %d of gauge %s was recorded after this one was begun (%d), and ended it: %s", gauge.ErrRefused, h.recorded, gaugeID, seq, again)
	case i < 0 && seq != 0:
		return b, fmt.Errorf("%w: number %d of the history begins no check of gauge %s", gauge.ErrInput, seq, gaugeID)
	case i < 0:
		return b, fmt.Errorf("%w: no check of gauge %s was begun: a check takes the readings that come after its begin; %s", gauge.ErrRefused, gaugeID, again)
	}
	b = h.Begun[i]
	if now.Sub(b.Time) > LongestCheck {
		return b, fmt.Errorf("%w: the check of gauge %s was begun on %s: %s", gauge.ErrRefused, gaugeID, b.Time.UTC().Format(time.DateOnly), again)
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
				return fmt.Errorf("%w: reading %d is there twice, at master %s and at master %s: each reading counts once", gauge.ErrInput, seq, there, p.Master.ID)
			case seq <= b.Seq:
				return &TakenBefore{seq, b}
			case slices.Contains(h.zeros, seq):
				return fmt.Errorf("%w: reading %d is a zero return of the gauge already: each reading counts once", gauge.ErrRefused, seq)
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

// Error names the reading, and when the check was begun.
func (e *TakenBefore) Error() string {
	return fmt.Sprintf("%v: reading %d was taken before this check was begun at %s: read the gauge at the master again", gauge.ErrRefused, e.Seq, e.Begun.Time.UTC().Format(time.RFC3339))
}

// Unwrap is the kind of the error.
func (e *TakenBefore) Unwrap() error { return gauge.ErrRefused }

// Unused refuses a reading that another check has.
func (h *Gauge) Unused(seq uint64) error {
	switch last := h.Last; {
	case last != nil && last.Holds(seq):
		return fmt.Errorf("%w: reading %d is in the check of %s already (number %d): each reading counts once, in one check", gauge.ErrRefused, seq, last.Time.UTC().Format(time.DateOnly), last.Seq)
	case seq < h.recorded || slices.ContainsFunc(h.zeros, func(zero uint64) bool { return seq <= zero }):
		return fmt.Errorf("%w: reading %d was taken before the last check or zero return of the gauge: let it return to zero and read again", gauge.ErrRefused, seq)
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
func (h *Gauge) begins(f gauge.Fact) {
	h.Begun = append(slices.Clip(h.Begun), BegunBy(f))
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
