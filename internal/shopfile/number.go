package shopfile

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// look-alikes are characters that a text program puts in place of those of the
// keyboard: the key of the word for each, and what it stands for.
var lookAlikes = map[rune]struct{ word, typed string }{
	'–': {"entry.sign.dash", "-"}, '—': {"entry.sign.dash", "-"}, '−': {"entry.sign.minus", "-"}, '‐': {"entry.sign.hyphen", "-"}, '‑': {"entry.sign.hyphen", "-"},
	'×': {"entry.sign.times", "*"}, '·': {"entry.sign.dot", "*"}, '÷': {"entry.sign.division", "/"},
	'\u00a0': {"entry.sign.no-break", " "}, '\u202f': {"entry.sign.narrow", " "}, '\u2009': {"entry.sign.thin", " "}, '\ufeff': {"entry.sign.invisible", ""}, '\u200b': {"entry.sign.invisible", ""},
}

// LookAlike gives the key of the word for the first character of a text that only looks
// like one of the keyboard, says at which character it stands, from 1, and gives the text as it is to
// be typed; without such a character the key is empty.
func LookAlike(text string) (word string, at int, typed string) {
	var b strings.Builder
	for i, c := range []rune(text) {
		like, odd := lookAlikes[c]
		if !odd {
			b.WriteRune(c)
			continue
		}
		b.WriteString(like.typed)
		if word == "" {
			word, at = like.word, i+1
		}
	}
	return word, at, b.String()
}

// inDigits is the argument remedy: how a text that is no whole number is to be written
// instead. There is none for one that is too small or too large.
func inDigits(text string, example int) []gauge.Arg {
	number := strings.TrimLeft(text, "+-")
	digits := number[:len(number)-len(strings.TrimLeft(number, "0123456789"))]
	switch rest := number[len(digits):]; {
	case digits == "" && text != "":
		return []gauge.Arg{gauge.Nested("remedy", gauge.Say("entry.number.in-digits", gauge.Count("example", max(example, 2))))}
	case strings.Trim(rest, " ") != "" && !strings.ContainsAny(rest, ".,0123456789"):
		return []gauge.Arg{gauge.Nested("remedy", gauge.Say("entry.number.alone", gauge.Text("number", digits)))}
	}
	return nil
}

const decimal = `[+-]?[0-9]+(?:[.,][0-9]+)?`

var (
	rangeOf  = regexp.MustCompile(`^(` + decimal + `) *(?:-|\.\.+|to|bis) *(` + decimal + `)`)
	withUnit = regexp.MustCompile(`^(` + decimal + `) *([a-zA-Z][a-zA-Z ]*)$`)
	comma    = regexp.MustCompile(`^[+-]?[0-9]+,[0-9]+$`)
)

// asLimits is how two numbers in one text, such as 0,15-0,20, are written as limits;
// rest is what follows them.
func asLimits(text string) (limits, rest string, ok bool) {
	_, _, typed := LookAlike(text)
	m := rangeOf.FindStringSubmatch(typed)
	if m == nil {
		return "", "", false
	}
	return fmt.Sprintf("{min: %s, max: %s}", point(m[1]), point(m[2])), typed[len(m[0]):], true
}

func point(text string) string { return strings.Replace(text, ",", ".", 1) }

// numberSays is what is wrong with a number of a file, whose text is told as it stands
// between quotes.
func numberSays(err error) gauge.Message {
	if e := (*gauge.NumberError)(nil); errors.As(err, &e) {
		m := e.Tell()
		m.Args = slices.Clone(m.Args)
		for i, a := range m.Args {
			if a.Name == "text" {
				m.Args[i] = Quoted("text", e.Text)
			}
		}
		return m
	}
	return gauge.Told(err)
}

// remedy says how a text that is no number in unit u is to be written instead; the zero
// message where nothing can be said.
func remedy(text string, u gauge.Unit) gauge.Message {
	odd, at, typed := LookAlike(text)
	typed = strings.TrimSpace(typed)
	if limits, rest, ok := asLimits(typed); ok && rest == "" {
		return gauge.Say("entry.number.limits", gauge.Text("limits", limits))
	}
	if m := withUnit.FindStringSubmatch(typed); m != nil {
		if symbol, err := gauge.ParseUnit(m[2]); err == nil && symbol == u {
			return gauge.Say("entry.number.alone-in", gauge.Text("number", point(m[1])), gauge.Text("unit", u.String()))
		}
		return gauge.Say("entry.number.alone-in", gauge.Text("unit", u.String()))
	}
	if comma.MatchString(typed) {
		return gauge.Say("entry.number.written", gauge.Text("number", point(typed)), gauge.Text("unit", u.String()))
	}
	if _, err := gauge.ParseLength(typed, u); odd != "" && err == nil {
		return gauge.Say("entry.number.look-alike", gauge.Count("at", at), gauge.Word("odd", odd), gauge.Text("typed", typed))
	}
	return gauge.Message{}
}
