package evaluate

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// toSize gives the thickness to which a part is made, in whole steps where the
// procedure says so.
func (w *fitting) toSize() {
	w.outcome = FitPart
	why := gauge.Say("why.size", w.tellAim("how"))
	w.fit.Why = why
	step := w.place.Choose.Step
	if step == 0 {
		if *w.fit.Aim == 0 {
			w.takeNone(why)
		}
		return
	}
	exact := *w.fit.Aim
	aim := w.stepped(exact, step)
	w.fit.Aim = &aim
	if w.inWindow(aim) && (aim > 0 || w.place.Choose.None) {
		if aim != exact {
			why = gauge.Sentences(gauge.Say("why.size", w.tellAim("how"), w.P.Tell("step", step)), w.tiedStep(exact, aim, step))
			w.fit.Why = why
		}
		if aim == 0 {
			w.takeNone(why)
		}
		return
	}
	w.outcome = NothingFits
	w.tell(FindingNothingFits, "found.no_step_fits", w.P.Tell("step", step), w.P.TellLimits("window", *w.fit.Window))
}

// stepped rounds the aim to whole steps: up, down, or to the nearest, where of
// two equally near the procedure's tie rule decides.
func (w *fitting) stepped(aim, step gauge.Length) gauge.Length {
	below := aim / step * step
	if aim < 0 && below != aim {
		below -= step
	}
	above := below
	if below != aim {
		above += step
	}
	switch a := w.place.Choose.Aim; {
	case a == procedure.AimThicker:
		return above
	case a == procedure.AimThinner, a == procedure.AimThickest:
		return below
	case a == procedure.AimThinnest:
		return above
	case aim-below < above-aim, aim-below == above-aim && !w.place.Choose.TieThicker:
		return below
	}
	return above
}
