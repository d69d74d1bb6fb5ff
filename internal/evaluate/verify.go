package evaluate

import "gauged/internal/gauge"

// fitted takes up which part was fitted: its thickness, and what is unusual
// about it.
func (w *work) fitted(f *Fitted) {
	w.e.Outcome = VerifyFit
	fit := *f
	w.e.Fitted = &fit
	fit.Measured = fit.Thickness != nil
	switch {
	case w.p.Choose.Pack != nil:
		w.fittedPack(&fit)
	case w.family != nil:
		w.fittedGrade(&fit)
	}
	if fit.Thickness == nil || !w.p.Allowed.Limited() {
		return
	}
	if play := *w.e.Gap - *fit.Thickness; !w.p.Allowed.Contains(play) {
		w.find(FindingPrediction, "with %s of %s the sum predicts %s, allowed is %s",
			fit.Part, w.p.show(*fit.Thickness), w.p.playWords(play), w.p.showAllowed())
	}
}

// fittedPack takes the sum of the recommended pack when another was not measured.
func (w *work) fittedPack(fit *Fitted) {
	recommended := w.e.Pack
	switch {
	case recommended == nil:
	case fit.Part != recommended.Name():
		w.find(FindingOtherPart, "%s was fitted, recommended was %s", fit.Part, recommended.Name())
	case !fit.Measured:
		fit.Thickness = &recommended.Thickness
	}
}

func (w *work) fittedGrade(fit *Fitted) {
	g, ok := w.family.Grade(fit.Part)
	if !ok {
		w.find(FindingUnknownPart, "%s is not in the part family %s: read its number again", fit.Part, w.family.ID)
		return
	}
	if w.e.Choice != nil && w.e.Choice.Part != fit.Part {
		w.find(FindingOtherPart, "%s was fitted, recommended was %s", fit.Part, w.e.Choice.Part)
	}
	if g.Thickness == nil {
		return
	}
	if !fit.Measured {
		fit.Thickness = g.Thickness
		return
	}
	if off := *fit.Thickness - *g.Thickness; g.Tolerance != nil && off.Abs() > *g.Tolerance {
		w.find(FindingThickness, "%s measures %s but should be %s within %s: look whether it is the right part, clean and free of burrs",
			fit.Part, w.p.show(*fit.Thickness), w.p.show(*g.Thickness), w.p.show(*g.Tolerance))
	}
}

// verify judges the play measured after fitting against the limits, and
// compares it with the prediction.
func (w *work) verify(after Outcome) error {
	if after == MeasureAgain {
		w.e.Outcome = MeasureAgain
		return nil
	}
	if err := w.sum("verified "+string(w.p.word()), w.p.VerifyPlay); err != nil {
		return err
	}
	measured := w.e.Sums[len(w.e.Sums)-1].Value
	w.e.Verification = &Verification{Measured: measured}
	w.judge(measured)
	w.compare(measured)
	return nil
}

// compare sets measured beside predicted.
func (w *work) compare(measured gauge.Length) {
	f := w.e.Fitted
	if f == nil {
		w.find(FindingUnrecorded, "it is not recorded which part was fitted, so there is no prediction to compare with: record it")
		return
	}
	if f.Thickness == nil {
		return
	}
	predicted := *w.e.Gap - *f.Thickness
	difference := measured - predicted
	v := w.e.Verification
	v.Predicted, v.Difference = &predicted, &difference
	if w.p.PredictedWithin == nil {
		return
	}
	agrees := difference.Abs() <= *w.p.PredictedWithin
	v.Agrees = &agrees
	if !agrees {
		w.find(FindingUnpredicted, "measured is %s, predicted was %s; they differ by %s, allowed is %s: look for a wrong or dirty part, a part that is not seated, a wrong sign, or a gauge that has moved",
			w.p.playWords(measured), w.p.playWords(predicted), w.p.show(difference.Abs()), w.p.show(*w.p.PredictedWithin))
	}
}
