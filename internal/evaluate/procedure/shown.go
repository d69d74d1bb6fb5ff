package procedure

import (
	"fmt"
	"math/big"
	"strings"

	"gauged/internal/evaluate/formula"
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

// TextWithUnit writes a value; one that is no length in the procedure's unit carries
// its own unit.
func (p *Procedure) TextWithUnit(l gauge.Length, u gauge.Unit) string {
	if u == p.Unit || u == gauge.One || !u.Known() {
		return p.TextIn(l, u)
	}
	return p.ShowIn(l, u)
}

// Show writes a length with its unit.
func (p *Procedure) Show(l gauge.Length) string { return p.ShowIn(l, p.Unit) }

// ShowIn writes a value with its unit.
func (p *Procedure) ShowIn(l gauge.Length, u gauge.Unit) string {
	if u == gauge.One {
		return p.TextIn(l, u)
	}
	return p.TextIn(l, u) + " " + u.String()
}

// ClosingWord is how the closing dimension is called; result where nothing is said.
func (p *Place) ClosingWord() Word {
	if p.Word == "" {
		return WordResult
	}
	return p.Word
}

// ShowPlay writes a play as the procedure calls it: a preload is written
// without its minus sign.
func (p *Procedure) ShowPlay(play gauge.Length) string { return p.Show(p.Word.Called(play)) }

// PlayWords writes a play or preload with the word, by its own sign.
func (p *Place) PlayWords(in *Procedure, play gauge.Length) string {
	if play < 0 && p.Word != WordResult {
		return string(WordPreload) + " " + in.Show(-play)
	}
	return string(WordPlay) + " " + in.Show(play)
}

// PlayRange writes a range of plays with the word at each end where they differ; two
// preloads go from the lighter to the heavier.
func (p *Place) PlayRange(in *Procedure, l Limits) string {
	switch {
	case p.Word == WordResult || l.Min == nil && l.Max == nil:
		return in.ShowLimits(l)
	case l.Min == nil || l.Max == nil:
		return string(p.ClosingWord()) + " " + in.ShowLimits(p.Word.CalledLimits(l))
	case *l.Max < 0 || p.Word == WordPreload && *l.Max == 0:
		return string(WordPreload) + " " + in.ShowLimits(l.Negative())
	case *l.Min < 0:
		return p.PlayWords(in, *l.Min) + " to " + p.PlayWords(in, *l.Max)
	}
	return string(WordPlay) + " " + in.ShowLimits(l)
}

// ShowLimits writes limits in the procedure's unit, in words where an end is open.
func (p *Procedure) ShowLimits(l Limits) string { return p.ShowLimitsIn(l, p.Unit) }

// ShowLimitsIn writes limits in unit u, in words where an end is open.
func (p *Procedure) ShowLimitsIn(l Limits, u gauge.Unit) string {
	switch {
	case l.Min == nil && l.Max == nil:
		return "not limited"
	case l.Min == nil:
		return "at most " + p.ShowIn(*l.Max, u)
	case l.Max == nil:
		return "at least " + p.ShowIn(*l.Min, u)
	}
	return fmt.Sprintf("%s to %s", p.TextIn(*l.Min, u), p.ShowIn(*l.Max, u))
}

// ShowGrade names a grade with its mark and its thickness.
func (p *Procedure) ShowGrade(g Grade) string {
	text := g.Part
	if g.Mark != "" {
		text += " (marked " + g.Mark + ")"
	}
	if g.Thickness != nil {
		text += " of " + p.Show(*g.Thickness)
	}
	return text
}

// Operand writes a value, shown in unit u, into a line in unit line.
func (p *Procedure) Operand(l gauge.Length, u, line gauge.Unit) string {
	const decimals = 9 // of an inch, more than any length is kept in
	switch {
	case u == line:
		return p.TextIn(l, u)
	case u.Kind() == gauge.KindLength && line.Kind() == gauge.KindLength && l.Exact(line, decimals):
		return strings.TrimSuffix(strings.TrimRight(l.Text(line, decimals), "0"), ".")
	}
	return p.ShowIn(l, u)
}

// ShowComputed writes a computed value in unit u, with its unit.
func (p *Procedure) ShowComputed(r *big.Rat, u gauge.Unit) string {
	l, err := formula.InUnit(r, u)
	if err != nil {
		return r.FloatString(3)
	}
	return p.ShowIn(l, u)
}

// Prefix names the place where there are several: see Prefixed.
func (p *Place) Prefix() string { return Prefixed(p.Name) }

// Prefixed is the name of a place, with a colon, before what is said of it; empty for
// the one place of a procedure.
func Prefixed(place string) string {
	if place == "" {
		return ""
	}
	return place + ": "
}
