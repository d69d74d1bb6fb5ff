package say

import (
	"cmp"
	"fmt"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Shown writes what a reading shows, with its unit.
func Shown(w words.Words, text string, u gauge.Unit) (string, error) {
	if text == procedure.Unreadable {
		return w.Say("job.unreadable")
	}
	return strings.TrimSpace(w.Number(gauge.Digits(text, u)) + " " + words.Unit(u)), nil
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
func Length(w words.Words, l gauge.Length, u gauge.Unit) string { return usually(w, u)(l) }

// writing is how a value is written, with its unit.
type writing func(gauge.Length) string

func usually(w words.Words, u gauge.Unit) writing { return written(w, u, digits(u)) }

func written(w words.Words, u gauge.Unit, text func(gauge.Length) string) writing {
	return func(l gauge.Length) string { return strings.TrimSpace(w.Number(text(l)) + " " + words.Unit(u)) }
}

// digits are those with which a value is usually written.
func digits(u gauge.Unit) func(gauge.Length) string {
	return func(l gauge.Length) string {
		if decimals := usualDecimals[u]; decimals > 0 && l.Exact(u, decimals) {
			return l.Text(u, decimals)
		}
		return l.TextIn(u)
	}
}

// Judged writes the value of a judgement, as the procedure calls it.
func Judged(w words.Words, j evaluate.Judgement) (string, error) {
	if j.Mark != "" {
		return j.Mark, nil
	}
	j = j.Called()
	return between(w, j.Value, j.Between, written(w, j.Unit, j.Beside(digits(j.Unit))))
}

// Wanted writes what a judgement asks for, beside its value.
func Wanted(w words.Words, j evaluate.Judgement) (string, error) {
	if j.Wanted != "" {
		return j.Wanted, nil
	}
	j = j.Called()
	return limits(w, j.Allowed, written(w, j.Unit, j.Beside(digits(j.Unit))))
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
	return limits(w, l, usually(w, u))
}

func limits(w words.Words, l procedure.Limits, text writing) (string, error) {
	switch {
	case l.Min != nil && l.Max != nil:
		return w.Say("sheet.from-to", text(*l.Min), text(*l.Max))
	case l.Min != nil:
		return w.Say("sheet.at-least", text(*l.Min))
	case l.Max != nil:
		return w.Say("sheet.at-most", text(*l.Max))
	}
	return "-", nil
}

// Between writes an interval, or the value, or a dash for none.
func Between(w words.Words, of any, b *procedure.Limits, u gauge.Unit) (string, error) {
	return between(w, of, b, usually(w, u))
}

func between(w words.Words, of any, b *procedure.Limits, text writing) (string, error) {
	if b != nil && b.Min != nil && b.Max != nil {
		return w.Say("sheet.between", text(*b.Min), text(*b.Max))
	}
	switch l := of.(type) {
	case gauge.Length:
		return text(l), nil
	case *gauge.Length:
		if l != nil {
			return text(*l), nil
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

// Term is the word of the catalogue for a result; other names are the shop's own.
func Term(w words.Words, name string) string {
	return w.Tell(doubt.Result(name))
}

// Expressed is what a line of arithmetic computes, with the decimal sign of who reads it.
func Expressed(w words.Words, expression string) string {
	return w.Number(w.Tell(doubt.Expressed(expression)))
}
