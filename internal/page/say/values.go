package say

import (
	"cmp"
	"fmt"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Unit writes a unit as people read it.
func Unit(u gauge.Unit) string {
	switch u {
	case gauge.Micrometre:
		return "µm"
	case gauge.DegreeCelsius:
		return "°C"
	case gauge.Degree:
		return "°"
	case gauge.One:
		return ""
	}
	return u.String()
}

// Shown writes what a reading shows, with its unit.
func Shown(w words.Words, text string, u gauge.Unit) (string, error) {
	if text == procedure.Unreadable {
		return w.Say("job.unreadable")
	}
	return strings.TrimSpace(w.Number(gauge.Digits(text, u)) + " " + Unit(u)), nil
}

// Step is what a step is called, with the round whose proof measured it.
func Step(w words.Words, s procedure.Step) (string, error) {
	if s.Round == 0 || s.Title == "" {
		return cmp.Or(s.Title, s.Name), nil
	}
	return w.Say("step.round", s.Title, s.Round)
}

// usualDecimals are those to which a length is written at least, so that numbers
// under each other can be compared at a glance.
var usualDecimals = map[gauge.Unit]int{gauge.Millimetre: 3, gauge.Inch: 4}

// Length writes a value with its unit.
func Length(w words.Words, l gauge.Length, u gauge.Unit) string {
	text := l.TextIn(u)
	if decimals := usualDecimals[u]; decimals > 0 && l.Exact(u, decimals) {
		text = l.Text(u, decimals)
	}
	return strings.TrimSpace(w.Number(text) + " " + Unit(u))
}

// Limits writes limits in words.
func Limits(w words.Words, of any, u gauge.Unit) (string, error) {
	var l procedure.Limits
	switch of := of.(type) {
	case procedure.Limits:
		l = of
	case *procedure.Limits:
		l = *of
	default:
		return "", fmt.Errorf("%T are no limits", of)
	}
	switch {
	case l.Min != nil && l.Max != nil:
		return w.Say("sheet.from-to", Length(w, *l.Min, u), Length(w, *l.Max, u))
	case l.Min != nil:
		return w.Say("sheet.at-least", Length(w, *l.Min, u))
	case l.Max != nil:
		return w.Say("sheet.at-most", Length(w, *l.Max, u))
	}
	return "-", nil
}

// Between writes an interval, or the value, or a dash for none.
func Between(w words.Words, of any, b *procedure.Limits, u gauge.Unit) (string, error) {
	if b != nil && b.Min != nil && b.Max != nil {
		return w.Say("sheet.between", Length(w, *b.Min, u), Length(w, *b.Max, u))
	}
	switch l := of.(type) {
	case gauge.Length:
		return Length(w, l, u), nil
	case *gauge.Length:
		if l != nil {
			return Length(w, *l, u), nil
		}
	}
	return "-", nil
}

// Called is a play, or nil for none, as a procedure calls it.
func Called(word procedure.Word, play any) any {
	switch l := play.(type) {
	case gauge.Length:
		return word.Called(l)
	case *gauge.Length:
		if l != nil {
			return word.Called(*l)
		}
	}
	return nil
}

// CalledBetween is an interval of plays, or nil for none, as a procedure calls it.
func CalledBetween(word procedure.Word, b *procedure.Limits) *procedure.Limits {
	if b == nil {
		return nil
	}
	l := word.CalledLimits(*b)
	return &l
}

// Term is the word of the catalogue for a result; other names are the shop's own.
func Term(w words.Words, name string) (string, error) {
	if w.Has("word." + words.Key(name)) {
		return w.Say("word." + words.Key(name))
	}
	return name, nil
}
