package evaluate

import "gauged/internal/gauge"

type doubts struct{ w *work }

func newDoubts(w *work) *doubts { return &doubts{w} }

func (d *doubts) rule() string { return SimpleAcceptance }

// SimpleAcceptance is the decision rule in words.
const SimpleAcceptance = "simple acceptance: a value at a limit is inside; nothing is taken off the limits for the uncertainty of measurement"

type Budget struct{}

func (w *work) decide(name string, x *Expression, value gauge.Length, u gauge.Unit, between *Limits, allowed Limits) (Outcome, *Probability) {
	return within(value, between, allowed), nil
}
func (w *work) tooNarrow()                                             {}
func (w *fitting) probability(g Grade, play gauge.Length) *Probability { return nil }
func (w *fitting) doubtful()                                           {}
func (w *work) believable(v *Verification) (*gauge.Length, string) {
	return w.p.PredictedWithin, "allowed"
}
