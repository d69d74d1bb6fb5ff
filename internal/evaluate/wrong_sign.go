package evaluate

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// otherSign says so when what was measured is the predicted play with the other sign:
// that is a slip in the sum of the proof, or two readings that changed places, before
// it is anything else. Within believable the two count as the same.
func (w *work) otherSign(measured, predicted, believable gauge.Length) gauge.Message {
	if predicted.Abs() <= believable || !near(measured, -predicted, believable) {
		return gauge.Message{}
	}
	if a, b, two := w.DifferenceOf(w.P.VerifyPlay); two {
		return gauge.Say("hint.other_sign_swapped", gauge.Text("a", a.Name), gauge.Text("b", b.Name))
	}
	return gauge.Say("hint.other_sign")
}

// swapped says so when a result outside its limits would be inside with the two
// readings that it is the difference of the other way round.
func (w *work) swapped(x *formula.Expression, value gauge.Length, allowed procedure.Limits) gauge.Message {
	a, b, two := w.DifferenceOf(x)
	if !two || value == 0 || !allowed.Contains(-value) {
		return gauge.Message{}
	}
	return gauge.Say("hint.swapped", gauge.Text("a", a.Name), gauge.Text("b", b.Name))
}
