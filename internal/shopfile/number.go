package shopfile

import (
	"fmt"
	"regexp"
	"strings"

	"gauged/internal/gauge"
)

// look-alikes are characters that a text program puts in place of those of the
// keyboard, and what they stand for.
var lookAlikes = map[rune]struct{ name, typed string }{
	'–': {"a dash", "-"}, '—': {"a dash", "-"}, '−': {"a printed minus sign", "-"}, '‐': {"a printed hyphen", "-"}, '‑': {"a printed hyphen", "-"},
	'×': {"a printed multiplication sign", "*"}, '·': {"a dot between factors", "*"}, '÷': {"a printed division sign", "/"},
	'\u00a0': {"a no-break space", " "}, '\u202f': {"a narrow no-break space", " "}, '\u2009': {"a thin space", " "}, '\ufeff': {"an invisible character", ""}, '\u200b': {"an invisible character", ""},
}

// LookAlike names the first character of a text that only looks like one of the
// keyboard, says at which character it stands, from 1, and gives the text as it is to
// be typed; without such a character the name is empty.
func LookAlike(text string) (name string, at int, typed string) {
	var b strings.Builder
	for i, c := range []rune(text) {
		like, odd := lookAlikes[c]
		if !odd {
			b.WriteRune(c)
			continue
		}
		b.WriteString(like.typed)
		if name == "" {
			name, at = like.name, i+1
		}
	}
	return name, at, b.String()
}

// inDigits says how a text that is no whole number is to be written instead; empty for
// one that is too small or too large.
func inDigits(text string, example int) string {
	number := strings.TrimLeft(text, "+-")
	digits := number[:len(number)-len(strings.TrimLeft(number, "0123456789"))]
	switch rest := number[len(digits):]; {
	case digits == "" && text != "":
		return fmt.Sprintf(": write it in digits, such as %d", max(example, 2))
	case strings.Trim(rest, " ") != "" && !strings.ContainsAny(rest, ".,0123456789"):
		return fmt.Sprintf(": write the number alone, %s", digits)
	}
	return ""
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

// remedy says how a text that is no number in unit u is to be written instead; empty
// where nothing can be said.
func remedy(text string, u gauge.Unit) string {
	odd, at, typed := LookAlike(text)
	typed = strings.TrimSpace(typed)
	if limits, rest, ok := asLimits(typed); ok && rest == "" {
		return fmt.Sprintf(": for two limits write %s", limits)
	}
	if m := withUnit.FindStringSubmatch(typed); m != nil {
		if symbol, err := gauge.ParseUnit(m[2]); err == nil && symbol == u {
			return fmt.Sprintf(": write the number alone, %s; it is in %v", point(m[1]), u)
		}
		return fmt.Sprintf(": write the number alone, in %v", u)
	}
	if comma.MatchString(typed) {
		return fmt.Sprintf(": write %s (%v)", point(typed), u)
	}
	if _, err := gauge.ParseLength(typed, u); odd != "" && err == nil {
		return fmt.Sprintf(": character %d is %s; write %s", at, odd, typed)
	}
	return ""
}
