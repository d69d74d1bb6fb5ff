package evaluate

import (
	"fmt"

	"gauged/internal/gauge"
)

// Text writes a length in the procedure's unit, without the unit, with its
// usual decimals. A mean that does not end within them gets one more.
func (p *Procedure) Text(l gauge.Length) string {
	if l.Exact(p.Unit, p.Decimals) {
		return l.Text(p.Unit, p.Decimals)
	}
	return l.Text(p.Unit, p.Decimals+1)
}

// show writes a length with its unit.
func (p *Procedure) show(l gauge.Length) string { return p.Text(l) + " " + p.Unit.String() }

// word is how the closing dimension is called.
func (p *Procedure) word() Word {
	if p.Word == "" {
		return WordResult
	}
	return p.Word
}

// showPlay writes a play as the procedure calls it: a preload is written
// without its minus sign.
func (p *Procedure) showPlay(play gauge.Length) string {
	if p.Word == WordPreload {
		return p.show(-play)
	}
	return p.show(play)
}

// playWords writes a play or preload with the word, by its own sign.
func (p *Procedure) playWords(play gauge.Length) string {
	if play < 0 && p.Word != WordResult {
		return p.show(-play) + " preload"
	}
	return p.show(play) + " " + string(WordPlay)
}

func (p *Procedure) showAllowed() string {
	if p.Word == WordPreload {
		return p.showLimits(Limits{negative(p.Allowed.Max), negative(p.Allowed.Min)})
	}
	return p.showLimits(p.Allowed)
}

func (p *Procedure) showLimits(l Limits) string {
	switch {
	case l.Min == nil && l.Max == nil:
		return "not limited"
	case l.Min == nil:
		return "at most " + p.show(*l.Max)
	case l.Max == nil:
		return "at least " + p.show(*l.Min)
	}
	return fmt.Sprintf("%s to %s", p.Text(*l.Min), p.show(*l.Max))
}

func (p *Procedure) showGrade(g Grade) string {
	text := g.Part
	if g.Mark != "" {
		text += " (marked " + g.Mark + ")"
	}
	if g.Thickness != nil {
		text += " of " + p.show(*g.Thickness)
	}
	return text
}

// aimWords says what the thickness aims at.
func (w *work) aimWords() string {
	switch w.p.Choose.Aim {
	case AimThickest:
		return "the thickest within the window"
	case AimThinnest:
		return "the thinnest within the window"
	case AimPlay:
		return "it aims at " + w.p.playWords(w.p.Choose.AimPlay)
	default:
		return "the middle of the window"
	}
}

// why says in one sentence why a grade was chosen.
func (w *work) why(c Candidate) string {
	window := w.p.showLimits(*w.e.Window)
	switch w.p.Choose.Aim {
	case AimThickest:
		return fmt.Sprintf("the thickest that can be had within %s; it gives %s", window, w.p.playWords(*c.Play))
	case AimThinnest:
		return fmt.Sprintf("the thinnest that can be had within %s; it gives %s", window, w.p.playWords(*c.Play))
	}
	return fmt.Sprintf("of the grades within %s it is nearest to %s (%s); it gives %s", window, w.p.show(*w.e.Aim), w.aimWords(), w.p.playWords(*c.Play))
}
