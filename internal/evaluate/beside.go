package evaluate

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Proof is what was measured after fitting, to be written beside its limits; it has no
// outcome of its own. nil while nothing was.
func (e *Evaluation) Proof(p *procedure.Procedure) *Judgement {
	v := e.Verification
	if v == nil {
		return nil
	}
	return &Judgement{Name: string(p.ClosingWord()), Value: v.Measured, Between: v.Between, Unit: p.Unit, Allowed: e.Allowed, After: true}
}

// Called is a judgement with its values as the procedure calls them: a preload is without
// its minus sign.
func (j Judgement) Called() Judgement {
	word := j.Word()
	j.Value, j.Between, j.Allowed = word.Called(j.Value), word.CalledBetween(j.Between), word.CalledLimits(j.Allowed)
	return j
}

// Beside returns how the value and its limits are written beside each other: see
// procedure.Limits.Beside.
func (j Judgement) Beside(usual func(gauge.Length) string) func(gauge.Length) string {
	return j.Allowed.BesideWith(usual, j.Unit, j.Value, j.Between)
}
