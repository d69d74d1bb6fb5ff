package procedure

import (
	"math/big"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Text writes a length in the procedure's unit, without the unit, with its
// usual decimals. A mean that does not end within them gets one more.
func (p *Procedure) Text(l gauge.Length) string {
	if p.beside != nil {
		return p.beside(l)
	}
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

// PlayRange is what TellPlays tells, in English, as the files of a shop are.
func (p *Place) PlayRange(in *Procedure, l Limits) string { return english(p.TellPlays("", in, l)) }

// ShowLimits is what TellLimits tells, in English.
func (p *Procedure) ShowLimits(l Limits) string { return p.ShowLimitsIn(l, p.Unit) }

// ShowLimitsIn is what TellLimitsIn tells, in English.
func (p *Procedure) ShowLimitsIn(l Limits, u gauge.Unit) string {
	return english(p.TellLimitsIn("", l, u))
}

// ShowGrade is what TellGrade tells, in English.
func (p *Procedure) ShowGrade(g Grade) string { return english(p.TellGrade("", g)) }

// english is the nested text of an argument.
func english(a gauge.Arg) string { return words.In(words.English).Tell(*a.Message) }

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
