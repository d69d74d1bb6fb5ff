package evaluate

import (
	"gauged/internal/evaluate/combine"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// tie says by which rule one of two that are equally near was taken.
func (w *fitting) tie(other gauge.Arg) gauge.Message {
	if w.place.Choose.TieThicker {
		return gauge.Say("why.tied_thicker", other)
	}
	return gauge.Say("why.tied_thinner", other)
}

// tied names the grade that is as near to the aim as the choice; nothing where
// none is.
func (w *fitting) tied(choice int) gauge.Message {
	chosen := w.fit.Candidates[choice]
	for i, c := range w.fit.Candidates {
		if i == choice || !c.Fits || c.Out() || w.twiceOff(*c.Thickness) != w.twiceOff(*chosen.Thickness) {
			continue
		}
		if w.place.Choose.Aim == procedure.AimLikeliest && (c.Probability == nil) != (chosen.Probability == nil) {
			continue
		}
		if p, q := c.Probability, chosen.Probability; w.place.Choose.Aim == procedure.AimLikeliest && p != nil && *p != *q {
			continue
		}
		return w.tie(gauge.Text("other", c.Part))
	}
	return gauge.Message{}
}

// tiedPack names the sum of as many pieces that is as near to the aim as the one
// that was taken.
func (w *fitting) tiedPack(s *combine.Packs, pieces int, taken gauge.Length) gauge.Message {
	for sum := range s.Sums(pieces) {
		if sum != taken && w.inWindow(sum) && w.twiceOff(sum) == w.twiceOff(taken) {
			return w.tie(gauge.Nested("other", gauge.Say("pack.of", w.P.Tell("thickness", sum))))
		}
	}
	return gauge.Message{}
}

// tiedStep names the step that is as near to the aim as the one that was taken.
func (w *fitting) tiedStep(aim, taken, step gauge.Length) gauge.Message {
	switch w.place.Choose.Aim {
	case procedure.AimThicker, procedure.AimThinner, procedure.AimThickest, procedure.AimThinnest:
		return gauge.Message{}
	}
	if other := 2*aim - taken; other != taken && (other-taken).Abs() == step && w.inWindow(other) {
		return w.tie(w.P.Tell("other", other))
	}
	return gauge.Message{}
}
