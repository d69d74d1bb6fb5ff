package evaluate

import (
	"fmt"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TextOfUncertainty writes a value in its unit, without the unit, with three
// digits.
func TextOfUncertainty(l gauge.Length, u gauge.Unit) string {
	decimals := 0
	for scaled := l.Abs(); l != 0 && decimals < 9 && scaled < 100*u.Size(); scaled *= 10 {
		decimals++
	}
	return l.Text(u, decimals)
}

func (w *fitting) showAllowed() string { return w.place.PlayRange(w.P, w.fit.Allowed) }

// aimWords says what the thickness aims at.
func (w *fitting) aimWords() string {
	switch w.place.Choose.Aim {
	case procedure.AimThickest:
		return "the thickest within the window"
	case procedure.AimThinnest:
		return "the thinnest within the window"
	case procedure.AimPlay:
		return "it aims at " + w.place.PlayWords(w.P, *w.fit.Gap-*w.fit.Aim)
	case procedure.AimNearest:
		return "the stated thickness, or the nearest to it"
	case procedure.AimThicker:
		return "the stated thickness, or the next above"
	case procedure.AimThinner:
		return "the stated thickness, or the next below"
	default:
		return "the middle of the window"
	}
}

// why says in one sentence why a grade was chosen.
func (w *fitting) why(c Candidate) string {
	gives := w.giving("; it gives ", *c.Thickness)
	if w.place.Thickness != nil {
		return fmt.Sprintf("wanted is %s, and of the grades it is %s", w.P.Show(*w.fit.Aim), w.aimWords())
	}
	window := w.P.ShowLimits(*w.fit.Window)
	switch w.place.Choose.Aim {
	case procedure.AimThickest:
		return fmt.Sprintf("the thickest that can be had within %s%s", window, gives)
	case procedure.AimThinnest:
		return fmt.Sprintf("the thinnest that can be had within %s%s", window, gives)
	case procedure.AimLikeliest:
		if c.Probability != nil {
			return fmt.Sprintf("of the grades within %s it is the likeliest to end inside the limits (%s)%s", window, c.Probability, gives)
		}
	}
	return fmt.Sprintf("of the grades within %s it is nearest to %s (%s)%s", window, w.P.Show(*w.fit.Aim), w.aimWords(), gives)
}
