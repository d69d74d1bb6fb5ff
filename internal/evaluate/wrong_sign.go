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
	if a, b, two := w.differenceOf(w.P.VerifyPlay); two {
		return gauge.Say("hint.other_sign_swapped", gauge.Text("a", a), gauge.Text("b", b))
	}
	return gauge.Say("hint.other_sign")
}

// swapped says so when a result outside its limits would be inside with the two
// readings that it is the difference of the other way round.
func (w *work) swapped(x *formula.Expression, value gauge.Length, allowed procedure.Limits) gauge.Message {
	a, b, two := w.differenceOf(x)
	if !two || value == 0 || !allowed.Contains(-value) {
		return gauge.Message{}
	}
	return gauge.Say("hint.swapped", gauge.Text("a", a), gauge.Text("b", b))
}

// differenceOf names the two measurements that a formula is the difference of, itself
// or through an intermediate result.
func (w *work) differenceOf(x *formula.Expression) (a, b string, ok bool) {
	if x == nil {
		return "", "", false
	}
	n := x.Root
	for range 100 { // a name stands only for what is above it
		switch {
		case n.Op == formula.OpName:
			inner, known := w.Formula(procedure.Named{Formulas: w.P.FormulasOf(n.Name)})
			if !known {
				return "", "", false
			}
			n = inner.Root
		case n.Op == formula.OpSubtract && n.Args[0].Op == formula.OpName && n.Args[1].Op == formula.OpName:
			a, b = n.Args[0].Name, n.Args[1].Name
			_, _, first := w.P.Step(a)
			_, _, second := w.P.Step(b)
			return a, b, first && second
		default:
			return "", "", false
		}
	}
	return "", "", false
}
