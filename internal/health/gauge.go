package health

import (
	"fmt"
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
	Unknown   Standing = "unknown" // what is stored of it is damaged: see Damaged
)

// Sayable are the standings that somebody can give a gauge.
var Sayable = []Standing{InService, Suspect, Away, Retired}

// Standings lists every standing, for metrics and for tests.
var Standings = []Standing{InService, Suspect, Away, Retired, Unknown}

// Gauge is what is known of a gauge besides its readings. It never changes: each
// fact gives a new one.
type Gauge struct {
	Plan     *check.Plan // nil: none
	Standing Standing
	Why      gauge.Message
	Damage   *Damaged // nil: it is not damaged
	Since    time.Time
	Checks   int           // zero returns among them
	Last     *check.Record // the last one that is no zero return; nil: never checked
	LastZero *check.Record // the last zero return
	Good     *check.Record // the last one that passed
	Use      Use

	trend   *Trend    // of all checks
	review  *review   // what it says; nil without checks
	settled []Settled // what decides about the work before it, in order

	turns   []*turn          // what bears on the standing, in order
	decided int              // how many turns there are up to the last that decides; 0: none does
	changes []StandingChange // of the standing, as they were made
	Voided  []uint64         // checks, by their numbers
	Recalls []Recalled       // what was decided about past jobs, oldest first

	Begun    []Begun  // checks that are being made, since the last one was recorded
	recorded uint64   // number of the check that was recorded last; 0: none
	zeros    []uint64 // readings of zero returns since then
}

// New knows nothing of a gauge but the plan of its checks; nil: none.
func New(plan *check.Plan) *Gauge { return &Gauge{Plan: plan, Standing: InService} }

// Remedy is what is to be done with a gauge that is not in service. Until it is done, the
// date at which its next check would be due says nothing.
type Remedy string

// The remedies. Empty is for a gauge in service.
const (
	RemedyCheck Remedy = "check"      // against a master, now; or put it out of service
	RemedyBack  Remedy = "bring back" // then check it and put it in service
	RemedyNone  Remedy = "none"       // it is no longer used
	// RemedyAnother is for a damaged one: the backup, or a new name and a check.
	RemedyAnother Remedy = "another"
)

// Remedy says what is to be done now.
func (h *Gauge) Remedy() Remedy {
	switch h.Standing {
	case Suspect:
		return RemedyCheck
	case Away:
		return RemedyBack
	case Retired:
		return RemedyNone
	case Unknown:
		return RemedyAnother
	}
	return ""
}

// With returns the health after a fact. To a damaged gauge nothing more is stored.
func (h *Gauge) With(f gauge.Fact) (*Gauge, error) {
	if h.Damage != nil {
		return h, h.Damage
	}
	next := *h
	next.turns, next.changes, next.Voided, next.settled = slices.Clone(h.turns), slices.Clip(h.changes), slices.Clip(h.Voided), slices.Clip(h.settled)
	next.Recalls = slices.Clip(h.Recalls)
	next.trend = h.trend.copy()
	return &next, next.Add(f, true)
}

// Add takes a fact up into a health that nobody else has yet; a check that does not
// count is taken into the history of the standing alone.
func (h *Gauge) Add(f gauge.Fact, counts bool) error {
	switch f.Gauge.Kind {
	case KindStanding:
		data, err := Unmarshal[StandingData](f.Gauge)
		if err != nil {
			return err
		}
		h.turn(turn{seq: f.Seq, place: f.Seq, time: f.Gauge.Time, by: f.Gauge.By, said: data}, f)
	case KindChecked:
		data, err := Unmarshal[CheckedData](f.Gauge)
		if err != nil {
			return err
		}
		c := data.Record(f)
		h.turn(checkTurn(c), f)
		if counts {
			h.Take(c, data.Number)
		}
		if c.Past == nil {
			h.ends(c)
		}
	case KindVoided:
		data, err := Unmarshal[VoidedData](f.Gauge)
		if err != nil {
			return err
		}
		h.Voided = append(h.Voided, data.Check)
		h.withoutTurn(data, f)
	case KindBegun:
		return h.begins(f)
	case KindUnderWay:
		data, err := Unmarshal[StepData](f.Gauge)
		if err != nil {
			return err
		}
		h.goesOn(data)
	case KindLeft:
		data, err := Unmarshal[LeftData](f.Gauge)
		if err != nil {
			return err
		}
		h.leaves(data)
	case KindRecalled:
		data, err := Unmarshal[RecalledData](f.Gauge)
		if err != nil {
			return err
		}
		h.Recalls = append(h.Recalls, Recalled{f.Gauge.Time, f.Gauge.By, data.Check, data.Reason})
	case KindStudied:
		_, err := Unmarshal[StudiedData](f.Gauge)
		return err
	default:
		return fmt.Errorf("there is no fact %q about a gauge", f.Gauge.Kind)
	}
	return nil
}

// AddPast takes a check of the past that a fact keeps into the history of the standing; it
// counts at its own place, see Take.
func (h *Gauge) AddPast(c *check.Record, f gauge.Fact) { h.turn(checkTurn(c), f) }

// Take takes a check; number is what the gauge's readings had come to.
func (h *Gauge) Take(c *check.Record, number uint64) {
	h.Checks++
	switch {
	case c.Zero:
		h.LastZero = c
	case c.Aside():
		h.Last = c
	default:
		h.Last = c
		h.Use.checked, h.Use.Number = h.Use.Jobs, number
	}
	if !c.Aside() && c.After().Verdict.Good() {
		h.Good = c
	}
	h.settle(c)
	if !c.Zero && c.Past == nil { // a check that came in was no use of the gauge here
		h.Use.checks++
	}
	trend := h.trend.add(c, float64(h.Use.Jobs+h.Use.checks))
	h.trend, h.review = trend, &review{of: trend}
}

// Out are the arguments of a refusal that says that a gauge may not be used, and why.
func (h *Gauge) Out(id string) []gauge.Arg {
	args := []gauge.Arg{gauge.Text("gauge", id), gauge.WordOf("standing", "standing", h.Standing)}
	if !h.Why.IsZero() {
		args = append(args, gauge.Nested("why", h.Why))
	}
	return args
}
