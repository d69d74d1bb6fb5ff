package procedure

import (
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// What is told to people: the counterparts of Show for messages, whose words are made
// where they are shown. Each returns the argument of a name.

// Tell is a length with the procedure's unit and digits.
func (p *Procedure) Tell(name string, l gauge.Length) gauge.Arg { return p.TellIn(name, l, p.Unit) }

// TellIn is a value in unit u.
func (p *Procedure) TellIn(name string, l gauge.Length, u gauge.Unit) gauge.Arg {
	return gauge.Shown(name, p.TextIn(l, u), u)
}

// TellBetween is an interval, or the value itself.
func (p *Procedure) TellBetween(name string, l gauge.Length, between *Limits, u gauge.Unit) gauge.Arg {
	return p.as(u).between(name, l, between)
}

// TellLimits are limits in the procedure's unit, in words where an end is open.
func (p *Procedure) TellLimits(name string, l Limits) gauge.Arg {
	return p.TellLimitsIn(name, l, p.Unit)
}

// TellLimitsIn are limits in unit u, in words where an end is open.
func (p *Procedure) TellLimitsIn(name string, l Limits, u gauge.Unit) gauge.Arg {
	return p.as(u).limits(name, l)
}

// TellBeside are the arguments value, an interval or the value itself, and of the name
// limits the limits beside which it stands: see Limits.Beside.
func (p *Procedure) TellBeside(l gauge.Length, between *Limits, limits string, allowed Limits, u gauge.Unit) []gauge.Arg {
	t := p.as(u)
	t.text = allowed.BesideWith(t.text, u, l, between)
	return []gauge.Arg{t.between("value", l, between), t.limits(limits, allowed)}
}

// TellMost are the arguments of a name, a value, and allowed, the most that it may be, as
// they stand beside each other.
func (p *Procedure) TellMost(name string, l, most gauge.Length, u gauge.Unit) []gauge.Arg {
	t := p.as(u)
	t.text = Limits{Max: &most}.Beside(t.text, u, l)
	return []gauge.Arg{t.value(name, l), t.value("allowed", most)}
}

// Beside is the procedure as it writes values of its unit beside limits: see Limits.Beside.
func (p *Procedure) Beside(limits Limits, values ...gauge.Length) *Procedure {
	writes := *p
	writes.beside = limits.Beside(p.Text, p.Unit, values...)
	return &writes
}

// TellPlayBeside is TellBeside for a play and its allowed limits, as the procedure calls
// them: a preload is written without its minus sign.
func (p *Procedure) TellPlayBeside(play gauge.Length, between *Limits, allowed Limits) []gauge.Arg {
	return p.TellBeside(p.Word.Called(play), p.Word.CalledBetween(between), "allowed", p.Word.CalledLimits(allowed), p.Unit)
}

// teller tells values in one unit with one way to write them.
type teller struct {
	unit gauge.Unit
	text func(gauge.Length) string
}

func (p *Procedure) as(u gauge.Unit) teller {
	return teller{u, func(l gauge.Length) string { return p.TextIn(l, u) }}
}

func (t teller) value(name string, l gauge.Length) gauge.Arg {
	return gauge.Shown(name, t.text(l), t.unit)
}

// bare is a value without the unit.
func (t teller) bare(name string, l gauge.Length) gauge.Arg {
	return gauge.Shown(name, t.text(l), gauge.UnitUnknown)
}

func (t teller) between(name string, l gauge.Length, between *Limits) gauge.Arg {
	if between == nil {
		return t.value(name, l)
	}
	return gauge.Nested(name, gauge.Say("value.between", t.bare("low", *between.Min), t.value("high", *between.Max)))
}

func (t teller) limits(name string, l Limits) gauge.Arg {
	var said gauge.Message
	switch {
	case l.Min == nil && l.Max == nil:
		said = gauge.Say("limits.none")
	case l.Min == nil:
		said = gauge.Say("limits.at_most", t.value("max", *l.Max))
	case l.Max == nil:
		said = gauge.Say("limits.at_least", t.value("min", *l.Min))
	default:
		said = gauge.Say("limits.range", t.bare("min", *l.Min), t.value("max", *l.Max))
	}
	return gauge.Nested(name, said)
}

// TellClosing names the closing dimension, as a sentence begins with it.
func (p *Place) TellClosing(name string) gauge.Arg {
	switch p.Word {
	case WordPlay:
		return gauge.Word(name, "closing.the_play")
	case WordPreload:
		return gauge.Word(name, "closing.the_preload")
	}
	return gauge.Word(name, "closing.the_result")
}

// TellPlay is a play or preload with the word, by its own sign.
func (p *Place) TellPlay(name string, in *Procedure, play gauge.Length) gauge.Arg {
	switch {
	case p.Word == WordResult:
		return in.Tell(name, play)
	case play < 0:
		return gauge.Nested(name, of(WordPreload, in.Tell("value", -play)))
	}
	return gauge.Nested(name, of(WordPlay, in.Tell("value", play)))
}

// TellPlays is a range of plays with the word at each end where they differ; two preloads
// go from the lighter to the heavier.
func (p *Place) TellPlays(name string, in *Procedure, l Limits) gauge.Arg {
	switch {
	case p.Word == WordResult || l.Min == nil && l.Max == nil:
		return in.TellLimits(name, l)
	case l.Min == nil || l.Max == nil:
		return gauge.Nested(name, of(p.ClosingWord(), in.TellLimits("value", p.Word.CalledLimits(l))))
	case *l.Max < 0 || p.Word == WordPreload && *l.Max == 0:
		return gauge.Nested(name, of(WordPreload, in.TellLimits("value", l.Negative())))
	case *l.Min < 0:
		return gauge.Nested(name, gauge.Say("limits.range", p.TellPlay("min", in, *l.Min), p.TellPlay("max", in, *l.Max)))
	}
	return gauge.Nested(name, of(WordPlay, in.TellLimits("value", l)))
}

// of is a value of a closing dimension with its word.
func of(w Word, value gauge.Arg) gauge.Message {
	switch w {
	case WordPlay:
		return gauge.Say("closing.of_play", value)
	case WordPreload:
		return gauge.Say("closing.of_preload", value)
	}
	return gauge.Say("closing.of_result", value)
}

// TellGrade names a grade with its mark and its thickness.
func (p *Procedure) TellGrade(name string, g Grade) gauge.Arg {
	args := []gauge.Arg{gauge.Text("part", g.Part)}
	if g.Mark != "" {
		args = append(args, gauge.Text("mark", g.Mark))
	}
	if g.Thickness != nil {
		args = append(args, p.Tell("thickness", *g.Thickness))
	}
	return gauge.Nested(name, gauge.Say("grade.part", args...))
}

// Chance is a probability.
func Chance(name string, p uncertainty.Probability) gauge.Arg { return gauge.Chance(name, int(p)) }
