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

// TextIn writes a value in its unit, without the unit.
func (p *Procedure) TextIn(l gauge.Length, u gauge.Unit) string {
	if u == p.Unit {
		return p.Text(l)
	}
	return l.TextIn(u)
}

// TextOfUncertainty writes a value in its unit, without the unit, with three
// digits.
func TextOfUncertainty(l gauge.Length, u gauge.Unit) string {
	decimals := 0
	for scaled := l.Abs(); l != 0 && decimals < 9 && scaled < 100*u.Size(); scaled *= 10 {
		decimals++
	}
	return l.Text(u, decimals)
}

// textIn writes a value; one that is no length in the procedure's unit carries
// its own unit.
func (p *Procedure) textIn(l gauge.Length, u gauge.Unit) string {
	if u == p.Unit || u == gauge.One || !u.Known() {
		return p.TextIn(l, u)
	}
	return p.showIn(l, u)
}

// show writes a length with its unit.
func (p *Procedure) show(l gauge.Length) string { return p.showIn(l, p.Unit) }

// showIn writes a value with its unit.
func (p *Procedure) showIn(l gauge.Length, u gauge.Unit) string {
	if u == gauge.One {
		return p.TextIn(l, u)
	}
	return p.TextIn(l, u) + " " + u.String()
}

// showBetween writes an interval, or the value itself, with its unit.
func (p *Procedure) showBetween(l gauge.Length, between *Limits, u gauge.Unit) string {
	if between == nil {
		return p.showIn(l, u)
	}
	return "between " + p.TextIn(*between.Min, u) + " and " + p.showIn(*between.Max, u)
}

// word is how the closing dimension is called.
func (p *Place) word() Word {
	if p.Word == "" {
		return WordResult
	}
	return p.Word
}

// showPlay writes a play as the procedure calls it: a preload is written
// without its minus sign.
func (p *Procedure) showPlay(play gauge.Length) string { return p.showPlayBetween(play, nil) }

func (p *Procedure) showPlayBetween(play gauge.Length, between *Limits) string {
	if between != nil {
		called := p.Word.CalledLimits(*between)
		between = &called
	}
	return p.showBetween(p.Word.Called(play), between, p.Unit)
}

// playWords writes a play or preload with the word, by its own sign.
func (p *Place) playWords(in *Procedure, play gauge.Length) string {
	if play < 0 && p.Word != WordResult {
		return string(WordPreload) + " " + in.show(-play)
	}
	return string(WordPlay) + " " + in.show(play)
}

// playRange writes a range of plays with the word at each end where they differ; two
// preloads go from the lighter to the heavier.
func (p *Place) playRange(in *Procedure, l Limits) string {
	switch {
	case p.Word == WordResult || l.Min == nil && l.Max == nil:
		return in.showLimits(l)
	case l.Min == nil || l.Max == nil:
		return string(p.word()) + " " + in.showLimits(p.Word.CalledLimits(l))
	case *l.Max < 0 || p.Word == WordPreload && *l.Max == 0:
		return string(WordPreload) + " " + in.showLimits(l.negative())
	case *l.Min < 0:
		return p.playWords(in, *l.Min) + " to " + p.playWords(in, *l.Max)
	}
	return string(WordPlay) + " " + in.showLimits(l)
}

func (w *fitting) showAllowed() string { return w.place.playRange(w.p, w.fit.Allowed) }

// showAllowedAs writes the limits of the closing dimension as the procedure calls it.
func (p *Procedure) showAllowedAs(allowed Limits) string {
	return p.showLimits(p.Word.CalledLimits(allowed))
}

func (p *Procedure) showLimits(l Limits) string { return p.showLimitsIn(l, p.Unit) }

func (p *Procedure) showLimitsIn(l Limits, u gauge.Unit) string {
	switch {
	case l.Min == nil && l.Max == nil:
		return "not limited"
	case l.Min == nil:
		return "at most " + p.showIn(*l.Max, u)
	case l.Max == nil:
		return "at least " + p.showIn(*l.Min, u)
	}
	return fmt.Sprintf("%s to %s", p.TextIn(*l.Min, u), p.showIn(*l.Max, u))
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
func (w *fitting) aimWords() string {
	switch w.place.Choose.Aim {
	case AimThickest:
		return "the thickest within the window"
	case AimThinnest:
		return "the thinnest within the window"
	case AimPlay:
		return "it aims at " + w.place.playWords(w.p, *w.fit.Gap-*w.fit.Aim)
	case AimNearest:
		return "the stated thickness, or the nearest to it"
	case AimThicker:
		return "the stated thickness, or the next above"
	case AimThinner:
		return "the stated thickness, or the next below"
	default:
		return "the middle of the window"
	}
}

// why says in one sentence why a grade was chosen.
func (w *fitting) why(c Candidate) string {
	gives := w.giving("; it gives ", *c.Thickness)
	if w.place.Thickness != nil {
		return fmt.Sprintf("wanted is %s, and of the grades it is %s", w.p.show(*w.fit.Aim), w.aimWords())
	}
	window := w.p.showLimits(*w.fit.Window)
	switch w.place.Choose.Aim {
	case AimThickest:
		return fmt.Sprintf("the thickest that can be had within %s%s", window, gives)
	case AimThinnest:
		return fmt.Sprintf("the thinnest that can be had within %s%s", window, gives)
	case AimLikeliest:
		if c.Probability != nil {
			return fmt.Sprintf("of the grades within %s it is the likeliest to end inside the limits (%s)%s", window, c.Probability, gives)
		}
	}
	return fmt.Sprintf("of the grades within %s it is nearest to %s (%s)%s", window, w.p.show(*w.fit.Aim), w.aimWords(), gives)
}
