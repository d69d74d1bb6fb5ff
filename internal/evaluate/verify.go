package evaluate

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// fitted takes up which part was fitted: its thickness, and what is unusual
// about it.
func (w *fitting) fitted(f procedure.Fitted) {
	fit := f
	w.fit.Fitted = &fit
	fit.Measured = fit.Thickness != nil
	switch {
	case fit.Part == procedure.NoPart && w.place.Choose.None:
		w.fittedNone(&fit)
	case w.place.Choose.Pack != nil:
		w.fittedPack(&fit)
	case w.place.Parts != "":
		w.fittedGrade(&fit)
	}
	if fit.Thickness == nil {
		return
	}
	if w.predict(); !w.fit.Allowed.Limited() || w.fit.Gap == nil {
		return
	}
	play, between := *w.fit.Gap-*fit.Thickness, w.fit.Between.Less(*fit.Thickness)
	if within(play, between, w.fit.Allowed) != Conforms {
		w.tell(FindingPrediction, "found.predicted_outside", append(w.tellBeside(&play, between, nil), w.P.Tell("thickness", *fit.Thickness), gauge.Text("part", fit.Part))...)
	} else if parts, own := w.pieces(*w.fit.Fitted); !w.place.ToSize && procedure.AllKnown(parts) {
		worst, p := w.foretoldWith(parts, own, play)
		w.surelyOutside(parts, worst, p)
	}
}

// otherPart points out that not the recommended part was fitted.
func (w *fitting) otherPart(part, recommended string) {
	w.tell(FindingOtherPart, "found.other_part", gauge.Text("part", part), gauge.Text("recommended", recommended))
}

// fittedPack takes the sum of the pieces of a pack that was not measured.
func (w *fitting) fittedPack(fit *procedure.Fitted) {
	if recommended := w.fit.Pack; recommended != nil && !nameSamePieces(fit.Part, recommended.Name()) {
		w.otherPart(fit.Part, recommended.Name())
	}
	pieces, unknown := w.family.PiecesOf(fit.Part)
	if len(unknown) > 0 {
		w.tell(FindingUnknownPart, "found.unknown_part", gauge.Texts("parts", unknown), gauge.Text("family", w.family.ID))
		return
	}
	w.thicknessOf(fit, pieces)
}

func (w *fitting) fittedGrade(fit *procedure.Fitted) {
	g, ok := w.family.Grade(fit.Part)
	if !ok {
		w.tell(FindingUnknownPart, "found.unknown_part", gauge.Texts("parts", []string{fit.Part}), gauge.Text("family", w.family.ID))
		return
	}
	if w.fit.Choice != nil && w.fit.Choice.Part != fit.Part {
		w.otherPart(fit.Part, w.fit.Choice.Part)
	}
	w.thicknessOf(fit, compute.Pieces{g})
}

// thicknessOf takes the nominal thickness of what was fitted, or points out that
// it measures otherwise than what is stated of it.
func (w *fitting) thicknessOf(fit *procedure.Fitted, parts compute.Pieces) {
	if !procedure.AllKnown(parts) {
		return
	}
	if !fit.Measured {
		var sum gauge.Length
		for _, g := range parts {
			sum += *g.Thickness
		}
		fit.Thickness = &sum
		return
	}
	if other := w.otherSize(fit, parts); other != nil {
		w.tell(FindingThickness, "found.nearer_to_another", gauge.Text("part", fit.Part), w.P.Tell("thickness", *fit.Thickness), w.P.TellGrade("other", *other))
		return
	}
	thinnest, thickest := parts.Ends()
	if !slices.ContainsFunc(parts, procedure.Grade.Toleranced) || *fit.Thickness >= thinnest && *fit.Thickness <= thickest {
		return
	}
	should := w.P.TellLimits("should", procedure.Limits{Min: &thinnest, Max: &thickest})
	if g := parts[0]; len(parts) == 1 && g.Tolerance != nil {
		should = gauge.Nested("should", gauge.Say("limits.within", w.P.Tell("value", *g.Thickness), w.P.Tell("within", *g.Tolerance)))
	}
	w.tell(FindingThickness, "found.thickness", gauge.Text("part", fit.Part), w.P.Tell("thickness", *fit.Thickness), should)
}

// otherSize is the grade that a measured part of no stated tolerance is nearer to than to
// its own; nil for none.
func (w *fitting) otherSize(fit *procedure.Fitted, parts compute.Pieces) *procedure.Grade {
	if len(parts) != 1 || parts[0].Toleranced() || w.family == nil {
		return nil
	}
	return w.family.Nearer(*fit.Thickness, *parts[0].Thickness)
}

// verify judges what was measured after fitting against the limits, and
// compares it with the prediction.
func (w *work) verify(after Outcome) error {
	if after == MeasureAgain || w.twoZeros(true) {
		w.e.Outcome = MeasureAgain
		return nil
	}
	if err := w.correct(w.P.Verify); err != nil {
		return err
	}
	if err := w.chain(w.P.Proven); err != nil {
		return err
	}
	outcome := complete
	for _, j := range w.P.Proof {
		o, err := w.judge(j, true)
		if err != nil {
			return err
		}
		outcome = worse(outcome, o)
	}
	if w.P.VerifyPlay != nil {
		o, err := w.verifyPlay()
		if err != nil {
			return err
		}
		outcome = worse(outcome, o)
	}
	w.e.Outcome = outcome
	w.settle(outcome)
	return nil
}

func (w *work) verifyPlay() (Outcome, error) {
	measured, err := w.sum("verified "+string(w.P.ClosingWord()), w.P.Unit, w.P.VerifyPlay)
	if err != nil {
		return complete, err
	}
	between := w.lastBetween()
	w.e.Verification = &Verification{Measured: measured, Between: between}
	allowed, err := w.Bounds(w.P.Allowed)
	if err != nil {
		return complete, err
	}
	outcome := w.judgeResult("verified "+string(w.P.ClosingWord()), w.P.VerifyPlay, measured, between, allowed, true)
	w.compare(measured)
	return outcome, nil
}

// beyondStamped is by how much the middle of what is stated of the fitted parts is
// thicker than what is stamped on them; 0 for what was measured.
func (w *work) beyondStamped(f *procedure.Fitted) gauge.Length {
	family := w.stock[w.P.Parts]
	if family == nil || f.Measured {
		return 0
	}
	parts, _ := family.PiecesOf(f.Part)
	return compute.Pieces(parts).Beyond()
}

// compare sets measured beside predicted.
func (w *work) compare(measured gauge.Length) {
	f := w.e.Fitted
	if f == nil {
		w.tell(FindingUnrecorded, "found.no_part_recorded")
		return
	}
	if f.Thickness == nil || w.e.Gap == nil {
		return
	}
	predicted := *w.e.Gap - *f.Thickness - w.beyondStamped(f)
	difference := measured - predicted
	v := w.e.Verification
	v.Predicted, v.PredictedBetween, v.Difference = &predicted, w.e.Between.Less(*w.e.Gap-predicted), &difference
	allowed, because := w.believable(v)
	if allowed == nil {
		if hint := w.otherSign(measured, predicted, 0); !hint.IsZero() {
			w.tell(FindingUnpredicted, "found.not_as_predicted", w.P.TellPlay("measured", w.P, measured), w.P.TellPlay("predicted", w.P, predicted), gauge.Nested("hint", hint))
		}
		return
	}
	agrees := difference.Abs() <= *allowed
	v.Agrees = &agrees
	if agrees || w.brief != nil {
		return
	}
	hint := gauge.Sentences(w.otherSign(measured, predicted, *allowed), w.explain(difference, *allowed), gauge.Say("hint.look_for"))
	w.tell(FindingUnpredicted, "found.differs_from_predicted", w.P.TellPlay("measured", w.P, measured), w.P.TellPlay("predicted", w.P, predicted),
		w.P.Tell("off", difference.Abs()), gauge.Word("because", because), w.P.Tell("allowed", *allowed), gauge.Nested("hint", hint))
}
