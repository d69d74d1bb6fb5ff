package evaluate

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// judgedAs is a result that will be judged.
type judgedAs struct {
	name   string
	place  string
	x      *formula.Expression
	unit   gauge.Unit
	limits procedure.Bounds
}

// results lists what will be judged.
func (w *work) results() []judgedAs {
	var all []judgedAs
	if p := w.P; !p.ChoosesPart() && p.Gap != nil {
		all = append(all, judgedAs{string(p.ClosingWord()), "", p.Gap, p.Unit, p.Allowed})
	} else if p.VerifyPlay != nil {
		all = append(all, judgedAs{"verified " + string(p.ClosingWord()), "", p.VerifyPlay, p.Unit, p.Allowed})
	}
	if len(w.P.Verify) == 0 { // then what is predicted is all that is known
		for _, place := range w.P.EachPlace() {
			if place.Gap != nil && place.Choose.Aim != procedure.AimTable {
				all = append(all, judgedAs{place.Prefix() + "predicted " + string(place.ClosingWord()), place.Name, place.Gap, w.P.Unit, place.Allowed})
			}
		}
	}
	for _, judges := range [][]procedure.Judge{w.P.Judge, w.P.Proof} {
		for _, j := range judges {
			if x, ok := w.Formula(j.Named); ok && j.Is == "" && x != nil && j.Then != procedure.ThenAdvise {
				all = append(all, judgedAs{j.Name, "", x, j.Unit, j.Limits})
			}
		}
	}
	return all
}
