package station

import (
	"cmp"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// Standing says whether a gauge may be used.
type Standing string

// The standings of a gauge.
const (
	InService Standing = "in service"
	Suspect   Standing = "suspect"             // its last check failed, or somebody says so
	Away      Standing = "out for calibration" // it is not here
	Retired   Standing = "retired"
)

// Standings lists every standing, for metrics and for tests.
var Standings = []Standing{InService, Suspect, Away, Retired}

// Health is what is known of a gauge besides its readings. It never changes: each
// fact gives a new one.
type Health struct {
	Plan     *check.Plan // nil: none
	Standing Standing
	Why      string
	Since    time.Time
	Checks   int          // zero returns among them
	Last     *CheckRecord // the last one that is no zero return; nil: never checked
	LastZero *CheckRecord // the last zero return
	Good     *CheckRecord // the last one that passed
	Use      Use

	trend   *trend    // of all checks
	settled []settled // what decides about the work before it, in order

	turns   []*turn          // what bears on the standing, in order
	decided int              // how many turns there are up to the last that decides; 0: none does
	changes []StandingChange // of the standing, as they were made
	voided  []uint64         // checks, by their numbers

	begun    []Begun  // checks that are being made, since the last one was recorded
	recorded uint64   // number of the check that was recorded last; 0: none
	zeros    []uint64 // readings of zero returns since then
}

// CheckRecord is a stored check.
type CheckRecord struct {
	Seq      uint64
	Time     time.Time
	By       string
	Occasion string
	Result   check.Result
	Left     *check.Result // after an adjustment
	Remark   string
	Zero     bool    // a zero return: it passes no check that is due
	Partial  string  // what the plan wants besides: it passes no check that is due either; empty: nothing
	Job      uint64  // after which it was made; 0: none is named
	Uses     uint64  // of the gauge so far, of Checks only
	Voided   *Voided // it counts no more; of AllChecks only
	Past     *Past   // it was made before it came in, or elsewhere; nil: here, as it was stored

	ability gauge.Ability // of the gauge then

	points []pointData // as found, with their readings
	left   []pointData // as left, likewise
}

// aside reports whether it passes no check that is due: it can only fail the gauge.
func (c *CheckRecord) aside() bool { return c.Zero || c.Partial != "" }

// what names it in a sentence.
func (c *CheckRecord) what() string {
	if c.Zero {
		return zeroReturn
	}
	return "check"
}

// Past is where a check of the past is from, and when it came in.
type Past struct {
	Place       string // such as the laboratory
	Certificate string // its number
	Came        time.Time
	Brought     string // by whom

	after uint64 // the last number that the history had at its time
}

// place is the entry of the history that it stands at, or right after.
func (c *CheckRecord) place() uint64 {
	if c.Past != nil {
		return c.Past.after
	}
	return c.Seq
}

// settles is from which entry of the history on the readings are not before it.
func (c *CheckRecord) settles() uint64 {
	if c.Past != nil {
		return c.Past.after + 1
	}
	return c.Seq
}

// order compares where it stands with a place and a time.
func (c *CheckRecord) order(place uint64, t time.Time) int {
	return cmp.Or(cmp.Compare(c.place(), place), c.Time.Compare(t))
}

// after is the result with which the gauge went on.
func (c *CheckRecord) after() check.Result {
	if c.Left != nil {
		return *c.Left
	}
	return c.Result
}

// Due is when the next check is due; zero when the plan has no term. It counts from the
// last check that passed: one that failed or is undecided moves it nowhere.
func (h *Health) Due() time.Time {
	switch {
	case h.Plan == nil || h.Plan.Every == 0:
		return time.Time{}
	case h.Good == nil:
		return time.Unix(0, 0).UTC() // at once: no check passed yet
	}
	return h.Good.Time.Add(h.Plan.Every)
}

// Remedy is what is to be done with a gauge that is not in service. Until it is done, the
// date at which its next check would be due says nothing.
type Remedy string

// The remedies. Empty is for a gauge in service.
const (
	RemedyCheck Remedy = "check"      // against a master, now; or put it out of service
	RemedyBack  Remedy = "bring back" // then check it and put it in service
	RemedyNone  Remedy = "none"       // it is no longer used
)

// Remedy says what is to be done now.
func (h *Health) Remedy() Remedy {
	switch h.Standing {
	case Suspect:
		return RemedyCheck
	case Away:
		return RemedyBack
	case Retired:
		return RemedyNone
	}
	return ""
}

// Overdue reports whether the check is due.
func (h *Health) Overdue(now time.Time) bool {
	due := h.Due()
	return !due.IsZero() && !now.Before(due)
}

// with returns the health after a fact.
func (h *Health) with(f gauge.Fact) (*Health, error) {
	next := *h
	next.turns, next.changes, next.voided = slices.Clone(h.turns), slices.Clip(h.changes), slices.Clip(h.voided)
	return &next, next.add(f, true)
}

// add takes a fact up into a health that nobody else has yet; a check that does not
// count is taken into the history of the standing alone.
func (h *Health) add(f gauge.Fact, counts bool) error {
	switch f.Gauge.Kind {
	case kindStanding:
		data, err := unmarshalGauge[standingData](f.Gauge)
		if err != nil {
			return err
		}
		h.turn(turn{seq: f.Seq, place: f.Seq, time: f.Gauge.Time, said: data}, f)
	case kindChecked:
		data, err := unmarshalGauge[checkedData](f.Gauge)
		if err != nil {
			return err
		}
		c := data.record(f)
		h.turn(checkTurn(c), f)
		if counts {
			h.take(c, data.Number)
		}
		if c.Past == nil {
			h.ends(c)
		}
	case kindVoided:
		data, err := unmarshalGauge[voidedData](f.Gauge)
		if err != nil {
			return err
		}
		h.voided = append(h.voided, data.Check)
		h.withoutTurn(data, f)
	case kindBegun:
		h.begins(f)
	case kindLeft:
		data, err := unmarshalGauge[leftData](f.Gauge)
		if err != nil {
			return err
		}
		h.leaves(data)
	}
	return nil
}

// take takes a check; number is what the gauge's readings had come to.
func (h *Health) take(c *CheckRecord, number uint64) {
	h.Checks++
	switch {
	case c.Zero:
		h.LastZero = c
	case c.aside():
		h.Last = c
	default:
		h.Last = c
		h.Use.checked, h.Use.number = h.Use.Jobs, number
	}
	if v := c.after().Verdict; !c.aside() && (v == check.Pass || v == check.Unlimited) {
		h.Good = c
	}
	h.settle(c)
	if !c.Zero {
		h.Use.checks++
	}
	h.trend = h.trend.with(c, float64(h.Use.Jobs+h.Use.checks))
}

func (s *Station) newHealth(id string) *Health {
	return &Health{Plan: s.o.Plans[id], Standing: InService}
}

// Health returns what is known of a gauge besides its readings.
func (s *Station) Health(gaugeID string) (*Health, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	h, ok := s.health[gaugeID]
	if !ok {
		return nil, s.noGauge(gaugeID)
	}
	return h, nil
}
