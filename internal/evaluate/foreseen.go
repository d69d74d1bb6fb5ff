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

// foreseeMeasured points out what may become of the part that is in, by its measured
// thickness, in the place of what was foreseen of the recommended one.
func (w *fitting) foreseeMeasured(play gauge.Length) {
	foreseen := w.foreseen
	w.e.Findings = slices.DeleteFunc(w.e.Findings, func(f Finding) bool { return slices.ContainsFunc(foreseen, f.Equal) })
	w.foreseen = nil
	parts, own := w.pieces(*w.fit.Fitted)
	worst, p := w.foretoldWith(parts, own, play)
	w.doubtAbout(parts, own, p, worst)
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
