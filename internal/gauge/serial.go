package gauge

import (
	"strings"
	"unicode"
)

// SerialKey is by what serial numbers of units are compared: without regard to case, blanks
// and hyphens, so that SC-1, sc 1 and SC1 are one unit. Two serial numbers with the same key
// name the same unit. One that has nothing else is its own key.
func SerialKey(serial string) string {
	key := strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.IsControl(r) || unicode.In(r, unicode.Pd, unicode.Cf) || r == '\u2212' {
			return -1
		}
		return unicode.ToUpper(r)
	}, serial)
	if key == "" {
		return strings.TrimSpace(serial)
	}
	return key
}

// SameSerial reports whether two serial numbers name the same unit.
func SameSerial(a, b string) bool { return SerialKey(a) == SerialKey(b) }

// LabelKey is by what jobs are found that have a label, whose text is compared as serial
// numbers are.
func LabelKey(name, text string) string { return name + "=" + SerialKey(text) }

// seen are characters that an eye takes for each other, each with the one that stands for
// all of them.
var seen = strings.NewReplacer("O", "0", "I", "1", "L", "1", "S", "5", "B", "8", "Z", "2")

// leastAlike is from how many characters on a serial number is looked at for slips of the
// hand. In a shorter one nearly every other is one character away.
const leastAlike = 4

// SerialsAlike reports whether two serial numbers that name different units may be meant
// for one: by characters that an eye takes for each other, by one character more, less or
// another, or by two neighbours that have changed places. A digit in place of a digit is
// how a shop counts its units, and says nothing.
func SerialsAlike(a, b string) bool {
	a, b = SerialKey(a), SerialKey(b)
	switch {
	case a == b:
		return false
	case seen.Replace(a) == seen.Replace(b):
		return true
	}
	x, y := []rune(a), []rune(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	if len(x) < leastAlike || len(y)-len(x) > 1 {
		return false
	}
	at := 0
	for at < len(x) && x[at] == y[at] {
		at++
	}
	if len(x) < len(y) {
		return string(x[at:]) == string(y[at+1:])
	}
	if string(x[at+1:]) == string(y[at+1:]) {
		return !unicode.IsDigit(x[at]) || !unicode.IsDigit(y[at])
	}
	return at+1 < len(x) && x[at] == y[at+1] && x[at+1] == y[at] && string(x[at+2:]) == string(y[at+2:])
}
