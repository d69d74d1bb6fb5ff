package words

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"gauged/internal/gauge"
)

// Tell words a message in the language. What the catalogue has no text for, such as the
// code of a newer station, is told as code and arguments: something must be shown.
func (w Words) Tell(m gauge.Message) string {
	text, err := w.Text(m)
	if err != nil {
		return m.String()
	}
	return text
}

// Error words what an error tells a person.
func (w Words) Error(err error) string { return w.Tell(gauge.Told(err)) }

// Text is Tell for tests and for who would rather have an error: of a code that has no
// text, and of arguments that are not those of its text.
func (w Words) Text(m gauge.Message) (string, error) {
	if text, ok := m.AsWritten(); ok || m.IsZero() {
		return text, nil
	}
	p, ok := w.c.patterns[m.Code][w.l]
	if !ok {
		return "", fmt.Errorf("there is no text %q in the catalogue", m.Code)
	}
	names := map[string]bool{}
	for _, name := range p.names() {
		names[strings.TrimSuffix(name, "?")] = true
	}
	for _, a := range m.Args {
		if !names[a.Name] {
			return "", fmt.Errorf("the text %q has no placeholder for the argument %q", m.Code, a.Name)
		}
	}
	text, err := w.fill(p, m)
	if err != nil {
		return "", fmt.Errorf("the text %q: %w", m.Code, err)
	}
	return text, nil
}

// errMissing: an argument of a placeholder is not there.
var errMissing = errors.New("there is no argument")

func (w Words) fill(p pattern, m gauge.Message) (string, error) {
	var text strings.Builder
	for _, piece := range p {
		part, err := piece.text, error(nil)
		switch {
		case piece.inside != nil:
			if part, err = w.fill(piece.inside, m); errors.Is(err, errMissing) {
				part, err = "", nil
			}
		case piece.name != "":
			a, ok := m.Arg(piece.name)
			if !ok {
				return "", fmt.Errorf("%w %q", errMissing, piece.name)
			}
			part, err = w.arg(a, piece.form)
		}
		if err != nil {
			return "", err
		}
		text.WriteString(part)
	}
	return text.String(), nil
}

// arg words one argument in the form that the placeholder asks for.
func (w Words) arg(a gauge.Arg, form string) (string, error) {
	if form == "unsaid" {
		return "", nil
	}
	switch {
	case a.Digits != "":
		if w.signs && a.Unit != gauge.One && a.Unit.Known() {
			return w.Number(a.Digits) + " " + Unit(a.Unit), nil
		}
		if a.Unit.Known() {
			return a.Unit.Quantity(w.Number(a.Digits)), nil
		}
		return w.Number(a.Digits), nil
	case a.Count != nil:
		if one, several, ok := strings.Cut(form, "|"); ok {
			if *a.Count == 1 {
				return one, nil
			}
			return several, nil
		}
		return strconv.FormatInt(*a.Count, 10), nil
	case a.Chance != nil:
		return w.Text(chance(*a.Chance))
	case a.Word != "":
		return w.Text(gauge.Say(a.Word))
	case a.List != nil:
		return w.list(a.List, form)
	case a.Message != nil:
		return w.Text(*a.Message)
	case a.Moment != nil && form == "day":
		return w.Date(*a.Moment), nil
	case a.Moment != nil:
		return w.Moment(*a.Moment), nil
	case a.Span != nil:
		return w.span(*a.Span), nil
	}
	return a.Text, nil
}

// list joins arguments. Where numbers have a comma, a semicolon stands between them.
func (w Words) list(items []gauge.Arg, form string) (string, error) {
	between := ", "
	texts := make([]string, len(items))
	for i, a := range items {
		if a.Digits != "" && w.comma() {
			between = "; "
		}
		var err error
		if texts[i], err = w.arg(a, ""); err != nil {
			return "", err
		}
		if form == "named" {
			texts[i] = w.named(texts[i])
		}
	}
	if form == "named" {
		form = "and"
	}
	if form == "lines" {
		return strings.Join(texts, "\n"), nil
	}
	last := len(texts) - 1
	if form == "sentences" {
		return strings.Join(texts, " "), nil
	}
	if form == "" || last < 1 {
		return strings.Join(texts, between), nil
	}
	return w.Text(gauge.Say("list."+form, gauge.Text("rest", strings.Join(texts[:last], between)), gauge.Text("last", texts[last])))
}

// named is the name of a result, which an evaluation has in English, with its place before
// it. A name that the shop gave stays.
func (w Words) named(result string) string {
	place, of, ok := strings.Cut(result, ": ")
	if !ok {
		place, of = "", result
	}
	if w.l == English || !w.Has("word."+Key(of)) {
		return result
	}
	text := w.c.texts["word."+Key(of)][w.l]
	if ok {
		return place + ": " + text
	}
	return text
}

// Chance writes a probability in ten-thousandths in percent.
func (w Words) Chance(p int) string { return w.Tell(chance(p)) }

// chance is a probability in ten-thousandths in percent, with one decimal, which says
// neither 0 nor 100 where it is not.
func chance(p int) gauge.Message {
	percent := func(tenths int) gauge.Arg {
		text := fmt.Sprintf("%d.%d", tenths/10, tenths%10)
		return gauge.Shown("percent", strings.TrimSuffix(text, ".0"), gauge.UnitUnknown)
	}
	switch tenths := (p + 5) / 10; {
	case p > 0 && tenths < 1:
		return gauge.Say("chance.under", percent(1))
	case p < 10_000 && tenths >= 1000:
		return gauge.Say("chance.over", percent(999))
	default:
		return gauge.Say("chance.is", percent(tenths))
	}
}

// span writes how long something is, in its largest whole unit from two on.
func (w Words) span(d time.Duration) string {
	if d > 2*time.Second {
		d = d.Round(time.Second)
	}
	switch {
	case d < 2*time.Second:
		return fmt.Sprintf("%d ms", d/time.Millisecond)
	case d < 2*time.Minute:
		return fmt.Sprintf("%d s", d/time.Second)
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min", d/time.Minute)
	default:
		return fmt.Sprintf("%d h", d/time.Hour)
	}
}
