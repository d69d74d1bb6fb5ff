package evaluate

import (
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

func (w *fitting) tellAllowed() gauge.Arg { return w.place.TellPlays("allowed", w.P, w.fit.Allowed) }

// tellBeside are the arguments play, between which ends it may lie, worst, the same within
// the stated tolerances, and allowed, as they stand beside each other; what is nil is left out.
func (w *fitting) tellBeside(play *gauge.Length, between, worst *procedure.Limits) (args []gauge.Arg) {
	var values []gauge.Length
	if play != nil {
		values = append(values, *play)
	}
	for _, l := range []*procedure.Limits{between, worst} {
		if l != nil {
			values = append(values, *l.Min, *l.Max)
		}
	}
	in := w.P.Beside(w.fit.Allowed, values...)
	switch {
	case between != nil:
		args = append(args, w.place.TellPlays("play", in, *between))
	case play != nil:
		args = append(args, w.place.TellPlay("play", in, *play))
	}
	if worst != nil {
		args = append(args, w.place.TellPlays("worst", in, *worst))
	}
	if w.fit.Allowed.Limited() {
		args = append(args, w.place.TellPlays("allowed", in, w.fit.Allowed))
	}
	return args
}

// tellAim says what the thickness aims at.
func (w *fitting) tellAim(name string) gauge.Arg {
	var says gauge.Message
	switch w.place.Choose.Aim {
	case procedure.AimThickest:
		says = gauge.Say("aim.thickest")
	case procedure.AimThinnest:
		says = gauge.Say("aim.thinnest")
	case procedure.AimPlay:
		says = gauge.Say("aim.play", w.place.TellPlay("play", w.P, *w.fit.Gap-*w.fit.Aim))
	case procedure.AimNearest:
		says = gauge.Say("aim.nearest")
	case procedure.AimThicker:
		says = gauge.Say("aim.next_thicker")
	case procedure.AimThinner:
		says = gauge.Say("aim.next_thinner")
	default:
		says = gauge.Say("aim.middle")
	}
	return gauge.Nested(name, says)
}

// why says why a grade was chosen, and what it gives.
func (w *fitting) why(c Candidate) gauge.Message {
	if w.place.Thickness != nil {
		return gauge.Say("why.stated", w.P.Tell("aim", *w.fit.Aim), w.tellAim("how"))
	}
	return gauge.Sentences(w.chosenFor(c), w.gives(*c.Thickness))
}

func (w *fitting) chosenFor(c Candidate) gauge.Message {
	window := w.P.TellLimits("window", *w.fit.Window)
	switch w.place.Choose.Aim {
	case procedure.AimThickest:
		return gauge.Say("why.thickest", window)
	case procedure.AimThinnest:
		return gauge.Say("why.thinnest", window)
	case procedure.AimLikeliest:
		if c.Probability != nil {
			return gauge.Say("why.likeliest", window, procedure.Chance("probability", *c.Probability))
		}
	}
	return gauge.Say("why.nearest", window, w.P.Tell("aim", *w.fit.Aim), w.tellAim("how"))
}

// gives says what play a thickness leaves, where that is known.
func (w *fitting) gives(thickness gauge.Length) gauge.Message {
	if play := w.playWith(thickness); play != nil {
		return gauge.Say("why.gives", w.place.TellPlay("play", w.P, *play))
	}
	return gauge.Message{}
}

// nextTo tells of the grade next to a window, with the play that it would give.
func (w *fitting) nextTo(args []gauge.Arg, name, play string, c *Candidate) []gauge.Arg {
	if c == nil {
		return args
	}
	args = append(args, w.P.TellGrade(name, c.Grade))
	if left := w.playWith(*c.Thickness); left != nil {
		args = append(args, w.place.TellPlay(play, w.P.Beside(w.fit.Allowed, *left), *left))
	}
	return args
}
