package station

import (
	"slices"
	"sync"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/drift"
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
	Checks   int           // zero returns among them
	Last     *check.Record // the last one that is no zero return; nil: never checked
	LastZero *check.Record // the last zero return
	Good     *check.Record // the last one that passed
	Use      Use

	trend   *health.Trend       // of all checks
	review  func() *drift.Gauge // what it says, computed when it is first asked for; nil without checks
	settled []settled           // what decides about the work before it, in order

	turns   []*turn          // what bears on the standing, in order
	decided int              // how many turns there are up to the last that decides; 0: none does
	changes []StandingChange // of the standing, as they were made
	voided  []uint64         // checks, by their numbers

	begun    []Begun  // checks that are being made, since the last one was recorded
	recorded uint64   // number of the check that was recorded last; 0: none
	zeros    []uint64 // readings of zero returns since then
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
		h.turn(turn{seq: f.Seq, place: f.Seq, time: f.Gauge.Time, by: f.Gauge.By, said: data}, f)
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
func (h *Health) take(c *check.Record, number uint64) {
	h.Checks++
	switch {
	case c.Zero:
		h.LastZero = c
	case c.Aside():
		h.Last = c
	default:
		h.Last = c
		h.Use.checked, h.Use.number = h.Use.Jobs, number
	}
	if !c.Aside() && c.After().Verdict.Good() {
		h.Good = c
	}
	h.settle(c)
	if !c.Zero && c.Past == nil { // a check that came in was no use of the gauge here
		h.Use.checks++
	}
	trend := h.trend.With(c, float64(h.Use.Jobs+h.Use.checks))
	h.trend, h.review = trend, sync.OnceValue(func() *drift.Gauge { return trend.Gauge(true) })
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
