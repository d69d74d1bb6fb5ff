package drift

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Precision compares the spread within each check with the pooled spread of
// the checks before by F (NIST/SEMATECH e-Handbook, 2.2.3.1, 2.3.5). It is of
// fixed size.
type Precision struct {
	squares float64
	dof     int
}

// Learn adds the spread of a check that is taken as in control.
func (p *Precision) Learn(spread float64, repeats int) {
	if repeats > 1 {
		p.squares += spread * spread * float64(repeats-1)
		p.dof += repeats - 1
	}
}

// Pooled returns the pooled standard deviation and its degrees of freedom.
func (p *Precision) Pooled() (sd float64, dof int) {
	if p.dof == 0 {
		return 0, 0
	}
	return math.Sqrt(p.squares / float64(p.dof)), p.dof
}

// Spread is what the control says of one check.
type Spread struct {
	F      float64 `json:"f"` // ratio of variances
	Limit  float64 `json:"limit"`
	Most   float64 `json:"most"` // standard deviation that a check of as many repeats may have
	Signal bool    `json:"signal"`
}

// Judge compares a check, with the probability level of a false alarm. It does not
// learn from it.
func (p *Precision) Judge(spread float64, repeats int, level float64) (Spread, error) {
	switch {
	case repeats < 2:
		return Spread{}, gauge.WrongInput("refusal.drift.no-repeats")
	case !(p.squares > 0):
		return Spread{}, gauge.WrongInput("refusal.drift.no-pooled")
	}
	s := Spread{
		F:     spread * spread / (p.squares / float64(p.dof)),
		Limit: uncertainty.FQuantile(1-level, float64(repeats-1), float64(p.dof)),
	}
	s.Signal, s.Most = s.F > s.Limit, math.Sqrt(s.Limit*p.squares/float64(p.dof))
	return s, nil
}
