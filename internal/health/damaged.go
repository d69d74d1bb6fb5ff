package health

import (
	"errors"
	"fmt"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/study"
)

// Damaged is that what is stored of a gauge cannot be put together.
type Damaged struct {
	Gauge string
	Seq   uint64 // of the fact, in the history; 0: it is not one fact alone
	Why   error
}

// Error says which gauge, and why.
func (d *Damaged) Error() string {
	return fmt.Sprintf("gauge %s is damaged: entry %d of the history: %v", d.Gauge, d.Seq, d.Why)
}

// Unwrap gives the kind of the refusal, and why.
func (d *Damaged) Unwrap() []error { return []error{gauge.ErrRefused, d.Why} }

// Tell gives the message.
func (d *Damaged) Tell() gauge.Message {
	return gauge.Say("refusal.gauge.damaged", gauge.Text("gauge", d.Gauge), gauge.Count("entry", d.Seq), gauge.Text("why", d.Why.Error()))
}

// Why a gauge is set aside besides what cannot be decoded.
var (
	ErrUnlike     = errors.New("it is not what was stored")
	ErrMissing    = errors.New("it is missing, and what it was cannot be known")
	ErrUnreadable = errors.New("its last reading cannot be read")
)

// setAside is the gauge of which nothing can be said but that it is damaged. It serves no
// job, and nothing that is stored later changes that.
func (h *Gauge) setAside(d *Damaged) {
	*h = Gauge{Plan: h.Plan, Use: h.Use, Standing: Unknown, Damage: d, Why: gauge.Say("turn.damaged", gauge.Count("entry", d.Seq), gauge.Text("why", d.Why.Error()))}
}

// Guard takes up a fact; where it cannot be, or that panics, the gauge is set aside.
func (h *Gauge) Guard(id string, seq uint64, take func() error) {
	if h.Damage != nil {
		return
	}
	defer func() {
		if p := recover(); p != nil {
			h.setAside(&Damaged{id, seq, fmt.Errorf("it breaks the evaluation: %v", p)})
		}
	}()
	if err := take(); err != nil {
		h.setAside(damagedBy(id, seq, err))
	}
}

// Without is the gauge where a fact of the history is missing, which may have been of it; 0:
// none is.
func (h *Gauge) Without(id string, missing uint64) *Gauge {
	if missing > 0 {
		h.Guard(id, missing, func() error { return ErrMissing })
	}
	return h
}

// damagedBy is the damage that an error is of.
func damagedBy(id string, seq uint64, err error) *Damaged {
	var d *Damaged
	if errors.As(err, &d) {
		return d
	}
	return &Damaged{id, seq, err}
}

// sound refuses data that no check of a gauge has.
func (c CheckedData) sound() error {
	verdicts := []check.Verdict{check.Pass, check.Fail, check.Undecided, check.Unlimited}
	switch {
	case !slices.Contains(verdicts, c.Result.Verdict):
		return fmt.Errorf("its verdict is %q", c.Result.Verdict)
	case c.LeftResult != nil && !slices.Contains(verdicts, c.LeftResult.Verdict):
		return fmt.Errorf("its verdict as left is %q", c.LeftResult.Verdict)
	}
	return nil
}

// sound refuses a standing that nobody can say.
func (s StandingData) sound() error {
	if !slices.Contains(Sayable, s.Standing) {
		return fmt.Errorf("its standing is %q", s.Standing)
	}
	return nil
}

// sound refuses what voids nothing.
func (v VoidedData) sound() error {
	if v.Check == 0 {
		return errors.New("it names no check")
	}
	return nil
}

// sound refuses data that no study has.
func (data StudiedData) sound() error {
	if !slices.Contains(study.Kinds, data.Plan.Kind) {
		return fmt.Errorf("its kind is %q", data.Plan.Kind)
	}
	return nil
}
