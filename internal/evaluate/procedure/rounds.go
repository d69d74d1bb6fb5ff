package procedure

import (
	"fmt"
	"maps"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Rounds is what a procedure says of the rounds of a job.
type Rounds struct {
	Most int      // rounds that may be made; after them somebody looks for what is wrong
	Next []Follow // how measurements of the next round follow from this one; empty: the usual way
}

// Follow is how a measurement of the next round follows from the proof of this one
// and the parts that are in.
type Follow struct {
	Name string // of the measurement that it stands for
	Of   *formula.Expression
}

// Carried is what a round takes over from the one before in the place of a
// measurement.
type Carried struct {
	Name      string
	Unit      gauge.Unit
	Play      PlayState
	Least     *gauge.Length // that must be felt; nil: what the gauge can show
	Plausible Limits
	Tight     bool // it may be a preload, which is below nought
}

// GoesOn says why no round can follow from the proof of another; nil
// when one can.
func (p *Procedure) GoesOn() error {
	of := gauge.Text("procedure", p.ID)
	switch {
	case len(p.Verify) == 0:
		return gauge.Refused("refusal.round.no-verify", of)
	case len(p.Rounds.Next) > 0:
		return nil
	case len(p.Places) > 0:
		return gauge.Refused("refusal.round.places", of)
	case p.Gap == nil || p.Choose.Aim == AimTable || p.Choose.Aim.LooksUp():
		return gauge.Refused("refusal.round.not-a-gap", of)
	case p.VerifyPlay == nil:
		return gauge.Refused("refusal.round.no-play", of)
	}
	return nil
}

// ProofScope is what formulas of the next round may use: what is known after fitting,
// and the parts that are in.
func (p *Procedure) ProofScope() formula.Scope { return maps.Clone(p.ending) }

// StandsFor is the measurement that a step of the proof is in the next round, with all
// its readings, because its formula is that name alone.
func (p *Procedure) StandsFor(step string) (Step, bool) {
	after, _, _ := p.Step(step)
	for _, f := range p.Rounds.Next {
		if f.Of.String() != step {
			continue
		}
		s, _, _ := p.Step(f.Name)
		return s, s.Unit == after.Unit
	}
	return Step{}, false
}

// Titled is what the step is called for people, with the round whose proof measured it.
func (s Step) Titled() string {
	if s.Round == 0 || s.Title == "" {
		return s.Title
	}
	return fmt.Sprintf("%s (round %d)", s.Title, s.Round)
}
