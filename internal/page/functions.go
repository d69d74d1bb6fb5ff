package page

import (
	"cmp"
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/study"
	"gauged/internal/sheet"
	"gauged/internal/words"
)

// functions are what templates can call.
func functions(w words.Words, a assets) template.FuncMap {
	return template.FuncMap{
		"say": w.Say, "number": w.Number, "day": w.Day, "moment": w.Moment, "age": w.Age,
		"asset":     a.path,
		"word":      words.Key,
		"unit":      unitName,
		"length":    func(l gauge.Length, u gauge.Unit) string { return measure(w, l, u) },
		"percent":   func(p *float64) string { return w.Number(strconv.FormatFloat(*p*100, 'f', 1, 64)) + " %" },
		"metres":    func(x float64, u gauge.Unit) string { return signedMetres(w, x, u) },
		"languages": func() any { return words.Languages },
		"count":     func(n *int) int { return *n },
		"plain":     plain,
		"tidy":      gauge.Digits,
		"shown":     func(text string, u gauge.Unit) (string, error) { return shown(w, text, u) },
		"titled":    func(s procedure.Step) (string, error) { return stepTitle(w, s) },
		"size":      func(text string) int { return min(max(len([]rune(text)), 4), 14) },
		"tint":      tint,
		"limits":    func(l any, u gauge.Unit) (string, error) { return limits(w, l, u) },
		"between":   func(l any, b *procedure.Limits, u gauge.Unit) (string, error) { return between(w, l, b, u) },
		"play": func(word procedure.Word, l any, b *procedure.Limits, u gauge.Unit) (string, error) {
			return between(w, called(word, l), calledBetween(word, b), u)
		},
		"plays": func(word procedure.Word, l any, u gauge.Unit) (string, error) {
			if optional, ok := l.(*procedure.Limits); ok {
				l = *optional
			}
			return limits(w, word.CalledLimits(l.(procedure.Limits)), u)
		},
		"join":        func(names []string) string { return strings.Join(names, ", ") },
		"controlled":  controlled,
		"chance":      func(p *evaluate.Probability) string { return w.Chance(p.String()) },
		"rule":        func(text string) (string, error) { return sheet.Rule(w, text) },
		"term":        func(name string) (string, error) { return term(w, name) },
		"share":       func(p *float64) string { return w.Number(strconv.FormatFloat(*p, 'f', 1, 64)) + " %" },
		"figure":      func(x *float64) string { return w.Number(study.Number(*x)) },
		"verdicttint": wordTint,
		"placed": func(j jobPage, p fitView) any {
			return struct {
				Job   jobPage
				Place fitView
			}{j, p}
		},
		"pair":   func(a, b any) any { return struct{ A, B any }{a, b} },
		"row":    neighbour,
		"list":   func(items ...string) []string { return items },
		"lights": func() []string { return lights },
	}
}

// unitName writes a unit as people read it.
func unitName(u gauge.Unit) string {
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

// signedMetres writes a length of statistics with its sign, in the unit in which
// errors of a gauge are read.
func signedMetres(w words.Words, metres float64, u gauge.Unit) string {
	unit, size := drawnUnit(u)
	return w.Number(fmt.Sprintf("%+.3g", metres/size)) + " " + unit
}

// plain leaves out the words by which the parts of the daemon tell errors apart.
func plain(text string) string {
	for _, err := range []error{gauge.ErrRefused, gauge.ErrInput} {
		text = strings.Replace(text, err.Error()+": ", "", 1)
	}
	return text
}

// shown writes what a reading shows, with its unit.
func shown(w words.Words, text string, u gauge.Unit) (string, error) {
	if text == procedure.Unreadable {
		return w.Say("job.unreadable")
	}
	return strings.TrimSpace(w.Number(gauge.Digits(text, u)) + " " + unitName(u)), nil
}

// stepTitle is what a step is called, with the round whose proof measured it.
func stepTitle(w words.Words, s procedure.Step) (string, error) {
	if s.Round == 0 || s.Title == "" {
		return cmp.Or(s.Title, s.Name), nil
	}
	return w.Say("step.round", s.Title, s.Round)
}

// tint is the class of an outcome's colours; its words say the same.
func tint(o evaluate.Outcome) string {
	switch o {
	case evaluate.Conforms, evaluate.Calculated:
		return "good"
	case evaluate.DoesNotConform, evaluate.NothingFits, evaluate.WrongPart:
		return "bad"
	case evaluate.MeasureAgain, evaluate.Undecided, evaluate.TooMany, evaluate.Advised:
		return "care"
	}
	return "next"
}

// wordTint is the class of the colours of a study's word; the word says the same.
func wordTint(word study.Word) string {
	switch word {
	case study.Acceptable, study.NoBias, study.Straight, study.Stable, study.Capable, study.NoDifference:
		return "good"
	case study.NotAcceptable, study.NotStable, study.NotCapable:
		return "bad"
	case study.NoWord:
		return "next"
	}
	return "care"
}

// usualDecimals are those to which a length is written at least, so that numbers
// under each other can be compared at a glance.
var usualDecimals = map[gauge.Unit]int{gauge.Millimetre: 3, gauge.Inch: 4}

// measure writes a value with its unit.
func measure(w words.Words, l gauge.Length, u gauge.Unit) string {
	text := l.TextIn(u)
	if decimals := usualDecimals[u]; decimals > 0 && l.Exact(u, decimals) {
		text = l.Text(u, decimals)
	}
	return strings.TrimSpace(w.Number(text) + " " + unitName(u))
}

// limits writes limits in words.
func limits(w words.Words, of any, u gauge.Unit) (string, error) {
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
		return w.Say("sheet.from-to", measure(w, *l.Min, u), measure(w, *l.Max, u))
	case l.Min != nil:
		return w.Say("sheet.at-least", measure(w, *l.Min, u))
	case l.Max != nil:
		return w.Say("sheet.at-most", measure(w, *l.Max, u))
	}
	return "-", nil
}

// between writes an interval, or the value, or a dash for none.
func between(w words.Words, of any, b *procedure.Limits, u gauge.Unit) (string, error) {
	if b != nil && b.Min != nil && b.Max != nil {
		return w.Say("sheet.between", measure(w, *b.Min, u), measure(w, *b.Max, u))
	}
	switch l := of.(type) {
	case gauge.Length:
		return measure(w, l, u), nil
	case *gauge.Length:
		if l != nil {
			return measure(w, *l, u), nil
		}
	}
	return "-", nil
}

// called is a play, or nil for none, as a procedure calls it.
func called(word procedure.Word, play any) any {
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

func calledBetween(word procedure.Word, b *procedure.Limits) *procedure.Limits {
	if b == nil {
		return nil
	}
	l := word.CalledLimits(*b)
	return &l
}

// term is the word of the catalogue for a result; other names are the shop's own.
func term(w words.Words, name string) (string, error) {
	if w.Has("word." + words.Key(name)) {
		return w.Say("word." + words.Key(name))
	}
	return name, nil
}

// neighbourRow is a grade beside others.
type neighbourRow struct {
	Job  jobPage
	Word procedure.Word // for the play
	C    *evaluate.Candidate
	Note string
	Out  bool // of stock
}

func neighbour(j jobPage, word procedure.Word, c *evaluate.Candidate, note string) neighbourRow {
	return neighbourRow{j, word, c, note, c.Stock != nil && *c.Stock == 0}
}
