package evaluate

import (
	"fmt"

	"gauged/internal/evaluate/combine"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// tieWords says by which rule one of two that are equally near was taken.
func (w *fitting) tieWords(other string) string {
	side := "thinner"
	if w.place.Choose.TieThicker {
		side = "thicker"
	}
	return fmt.Sprintf("; %s is as near, and of two equally near the %s is taken (tie: %s)", other, side, side)
}

// tied names the grade that is as near to the aim as the choice; nothing where
// none is.
func (w *fitting) tied(choice int) string {
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
		return w.tieWords(c.Part)
	}
	return ""
}

// tiedPack names the sum of as many pieces that is as near to the aim as the one
// that was taken.
func (w *fitting) tiedPack(s *combine.Packs, pieces int, taken gauge.Length) string {
	for sum := range s.Sums(pieces) {
		if sum != taken && w.inWindow(sum) && w.twiceOff(sum) == w.twiceOff(taken) {
			return w.tieWords("a pack of " + w.P.Show(sum))
		}
	}
	return ""
}

// tiedStep names the step that is as near to the aim as the one that was taken.
func (w *fitting) tiedStep(aim, taken, step gauge.Length) string {
	switch w.place.Choose.Aim {
	case procedure.AimThicker, procedure.AimThinner, procedure.AimThickest, procedure.AimThinnest:
		return ""
	}
	if other := 2*aim - taken; other != taken && (other-taken).Abs() == step && w.inWindow(other) {
		return w.tieWords(w.P.Show(other))
	}
	return ""
}
