package evaluate

import (
	"slices"

	"gauged/internal/gauge"
)

// foresee points out what may become of the recommended part.
func (w *fitting) foresee(code FindingCode, key string, args ...gauge.Arg) {
	f := Finding{code, w.atPlace(gauge.Say(key, args...))}
	w.foreseen = append(w.foreseen, f)
	w.point(code, f.Says)
}

// predict tells what the part leaves that is in, and points out what may become of it, in
// the place of what was foreseen of the recommended one.
func (w *fitting) predict() {
	f, play := *w.fit.Fitted, w.playWith(*w.fit.Fitted.Thickness)
	parts, own := w.pieces(f)
	another := w.brief == nil && (f.Measured || !w.In.Earlier && !w.fit.Recommends(f.Part))
	switch {
	case w.In.Earlier && (!another || w.fit.Choice == nil && w.fit.Pack == nil || w.fit.Gap == nil || !w.fit.Allowed.Limited()):
		return
	case another:
		w.forget()
		w.strays(parts)
	}
	if play == nil {
		return
	}
	worst, p := w.foretoldWith(parts, own, *play)
	if !w.In.Earlier {
		w.fit.Predicted = &Prediction{*play, w.fit.Between.Less(*f.Thickness), worst, p}
	}
	if another {
		w.doubtfulWith(parts, own, p, worst)
	}
}

// forget takes back what was foreseen of the recommended part, and its budget.
func (w *fitting) forget() {
	w.e.Findings = slices.DeleteFunc(w.e.Findings, func(f Finding) bool { return slices.ContainsFunc(w.foreseen, f.Equal) })
	if w.foreseen = nil; w.budget > 0 {
		w.doubts.Budgets[w.budget-1].Of = ""
	}
}

// settle leaves out what was foreseen of a part, and what would have been chosen instead,
// once the proof has decided.
func (w *work) settle(proof Outcome) {
	if proof != Conforms && proof != DoesNotConform {
		return
	}
	w.e.Findings = slices.DeleteFunc(w.e.Findings, func(f Finding) bool {
		switch f.Code {
		case FindingWorst, FindingUnlikely, FindingLikelier, FindingOutOfStock, FindingTaken:
			return true
		}
		return false
	})
}
