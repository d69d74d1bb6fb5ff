package station

import (
	"context"
	"fmt"
	"math"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/master"
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

// Plan is when and how a gauge is checked.
type Plan struct {
	Every    time.Duration // calendar time from check to check; 0: no term
	Masters  []string      // at which masters; with none the check is free in that
	Repeats  int           // readings at each
	BothWays bool          // approached from below and from above
	Blocks   bool          // a check that is due keeps the gauge out of new jobs; else they are warned

	BeforeEach   bool          // a new job wants a check since the last job that used the gauge
	BeforeWithin time.Duration // a new job wants a check not older than this; 0: it does not
	AfterEach    bool          // a check is due after each job
	ZeroWithin   *gauge.Length // how near to zero, either way, a reading after a job is a zero return; nil: none is
}

// Health is what is known of a gauge besides its readings. It never changes: each
// fact gives a new one.
type Health struct {
	Plan     *Plan // nil: none
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
	Result   master.Result
	Left     *master.Result // after an adjustment
	Remark   string
	Zero     bool   // a zero return: it passes no check that is due
	Job      uint64 // after which it was made; 0: none is named
	Uses     uint64 // of the gauge so far, of Checks only

	points []pointData // as found, with their readings
	left   []pointData // as left, likewise
}

// what names it in a sentence.
func (c *CheckRecord) what() string {
	if c.Zero {
		return zeroReturn
	}
	return "check"
}

// after is the result with which the gauge went on.
func (c *CheckRecord) after() master.Result {
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

// Overdue reports whether the check is due.
func (h *Health) Overdue(now time.Time) bool {
	due := h.Due()
	return !due.IsZero() && !now.Before(due)
}

// with returns the health after a fact.
func (h *Health) with(f gauge.Fact) (*Health, error) {
	next := *h
	switch f.Gauge.Kind {
	case kindStanding:
		data, err := unmarshalGauge[standingData](f.Gauge)
		if err != nil {
			return nil, err
		}
		next.Standing, next.Why, next.Since = data.Standing, data.Reason, f.Gauge.Time
	case kindChecked:
		data, err := unmarshalGauge[checkedData](f.Gauge)
		if err != nil {
			return nil, err
		}
		c := data.record(f)
		next.take(c, data.Number)
		next.ends(c)
	case kindBegun:
		next.begins(f)
	}
	return &next, nil
}

// take takes a check; number is what the gauge's readings had come to.
func (h *Health) take(c *CheckRecord, number uint64) {
	h.Checks++
	if c.Zero {
		h.LastZero = c
	} else {
		h.Last = c
		h.Use.checked, h.Use.number = h.Use.Jobs, number
	}
	switch verdict := c.after().Verdict; {
	case verdict == master.Fail:
		h.Standing, h.Since = Suspect, c.Time
		h.Why = fmt.Sprintf("its %s of %s failed", c.what(), c.Time.Format(time.DateOnly))
	case c.Zero:
	case verdict == master.Pass, verdict == master.Unlimited:
		h.Good = c
		if h.Standing == Suspect {
			h.Standing, h.Why, h.Since = InService, "", c.Time
		}
	}
	h.settle(c)
	if !c.Zero {
		h.Use.checks++
	}
	h.trend = h.trend.with(c, float64(h.Use.Jobs+h.Use.checks))
}

// loadHealth reads what happened to the gauges, in the order of the history.
func (s *Station) loadHealth(ctx context.Context) error {
	for id := range s.gauges {
		s.health[id] = s.newHealth(id)
	}
	starts, known := startQueue{store: s.o.Store}, startedGauges{}
	count := func(f gauge.Fact) error { return s.loadStart(f, known) }
	const page = 10_000
	for after := uint64(0); ; {
		facts, err := s.o.Store.GaugeFacts(ctx, "", after, page)
		if err != nil {
			return fmt.Errorf("load the checks of the gauges: %w", err)
		}
		for _, f := range facts {
			if err := starts.before(ctx, f.Seq, count); err != nil {
				return err
			}
			h := s.health[f.Gauge.Gauge]
			if h == nil {
				h = s.newHealth(f.Gauge.Gauge)
			}
			if s.health[f.Gauge.Gauge], err = h.with(f); err != nil {
				return err
			}
			after = f.Seq
		}
		if len(facts) < page {
			break
		}
	}
	if err := starts.before(ctx, math.MaxUint64, count); err != nil {
		return err
	}
	return s.loadNumbers(ctx)
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
		return nil, fmt.Errorf("%w: there is no gauge %q", ErrNotFound, gaugeID)
	}
	return h, nil
}
