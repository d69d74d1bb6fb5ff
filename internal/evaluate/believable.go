package evaluate

import (
	"math"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// believable is by how much measured and predicted play may differ: what the
// procedure says, else what the uncertainty of both explains.
func (w *work) believable(v *Verification) (allowed *gauge.Length, because string) {
	predicted, measured := w.doubts.Known("gap"), w.doubts.Known("verified "+string(w.P.ClosingWord()))
	if predicted != nil && measured != nil && len(predicted.Unstated)+len(measured.Unstated) == 0 {
		u := w.differing()
		if predicted.Bent() || measured.Bent() {
			u = math.Hypot(predicted.Standard(), math.Hypot(measured.Standard(), w.fittedDoubt()))
		}
		expanded := doubt.ThreeDigits(2 * u) // k = 2 for about 95 %
		v.Uncertainty = &expanded
	}
	if w.P.PredictedWithin != nil {
		return w.P.PredictedWithin, "differs.allowed"
	}
	return v.Uncertainty, "differs.explained"
}

// differing is the standard uncertainty of the predicted play less the measured
// one. What one gauge has wrong in both cancels.
func (w *work) differing() float64 { return w.lessFitted(w.P.Gap.Minus(w.P.VerifyPlay)) }

// fittedDoubt is what is not known of the fitted part, by itself.
func (w *work) fittedDoubt() float64 { return w.lessFitted(nil) }

// lessFitted is the standard uncertainty of a formula less the fitted part: of that is
// not known what the instrument leaves open with which it was measured, else what is
// stated of it.
func (w *work) lessFitted(x *formula.Expression) float64 {
	f := w.e.Fitted
	if family := w.stock[w.P.Parts]; family != nil && !f.Measured {
		parts, _ := family.PiecesOf(f.Part)
		return w.doubts.StandardLess(x, doubt.InputsOf(parts), "")
	}
	return w.doubts.StandardLess(x, nil, w.P.Choose.MeasuredWith)
}
