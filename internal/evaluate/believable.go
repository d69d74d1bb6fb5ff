package evaluate

import (
	"math"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// believable is by how much measured and predicted play may differ: what the
// procedure says, else what the uncertainty of both explains.
func (w *work) believable(v *Verification) (allowed *gauge.Length, because string) {
	predicted, measured := w.doubts.known["gap"], w.doubts.known["verified "+string(w.P.ClosingWord())]
	if predicted != nil && measured != nil && len(predicted.unstated)+len(measured.unstated) == 0 {
		u := w.differing()
		if predicted.bent != nil || measured.bent != nil {
			u = math.Hypot(predicted.standard(), math.Hypot(measured.standard(), w.fittedDoubt()))
		}
		expanded := threeDigits(2 * u) // k = 2 for about 95 %
		v.Uncertainty = &expanded
	}
	if w.P.PredictedWithin != nil {
		return w.P.PredictedWithin, "allowed"
	}
	return v.Uncertainty, "explained by the uncertainty of both"
}

// differing is the standard uncertainty of the predicted play less the measured
// one. What one gauge has wrong in both cancels.
func (w *work) differing() float64 {
	c := w.doubts.inputs(w.P.Gap.Minus(w.P.VerifyPlay))
	w.addFitted(c)
	b, err := uncertainty.Combine(c.inputs, c.slopes)
	if err != nil {
		return 0
	}
	return b.Standard
}

// fittedDoubt is what is not known of the fitted part, by itself.
func (w *work) fittedDoubt() float64 {
	c := &collector{w: w, at: map[inputKey]int{}}
	w.addFitted(c)
	b, err := uncertainty.Combine(c.inputs, c.slopes)
	if err != nil {
		return 0
	}
	return b.Standard
}

// addFitted adds what is not known of the fitted part: by the instrument with which
// it was measured, else by what is stated of it.
func (w *work) addFitted(c *collector) {
	c.slope = -1
	f := w.e.Fitted
	if family := w.stock[w.P.Parts]; family != nil && !f.Measured {
		parts, _ := family.PiecesOf(f.Part)
		for _, in := range inputsOf(parts) {
			c.put(inputKey{name: in.Name}, in, 1)
		}
		return
	}
	c.part(w.P.Choose.MeasuredWith)
}

// part adds what is not known of a part that was measured with an instrument; empty:
// it is not said with which.
func (c *collector) part(with string) {
	if with != "" {
		c.step(procedure.Step{Name: "part", Instrument: with, Unit: c.w.P.Unit}, "")
	}
}
