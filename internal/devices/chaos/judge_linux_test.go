package chaos_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// The sizes of what the formats count in, in picometres: a thousandth of a
// millimetre, a ten-thousandth of an inch and so on.
const (
	millimetre = 1_000_000_000
	inch       = 25_400_000_000
)

// reading is what a parser found in a piece of bytes between two ends: a
// value, after so many bytes that are no part of it.
type reading struct {
	value   value
	valid   bool
	skipped int
}

// lines judges frames that end with CR, LF or both. Where no tail of a frame
// passes for a frame, a frame is good wherever it begins; otherwise the first
// piece after the opening may be a tail, and counts for nothing.
func lines(longest int, syncing bool, read func(piece string) reading) judge {
	return func(stretch []byte, first, ended bool) (values []value, refused int) {
		pieces := strings.FieldsFunc(string(stretch), isEnd)
		rest := ""
		if len(stretch) > 0 && !isEnd(rune(stretch[len(stretch)-1])) {
			rest, pieces = pieces[len(pieces)-1], pieces[:len(pieces)-1]
		}
		if ended && rest != "" || len(rest) >= longest+2 {
			refused++
		}
		whole := len(stretch) > 0 && isEnd(rune(stretch[0])) // an end before the first piece
		for i, piece := range pieces {
			if len(piece) > longest || first && i == 0 && !syncing && !whole {
				refused++
				continue
			}
			r := read(piece)
			if r.valid {
				values = append(values, r.value)
			} else {
				refused++
			}
			if r.skipped > 0 {
				refused++
			}
		}
		return values, refused
	}
}

func isEnd(r rune) bool { return r == '\r' || r == '\n' }

// gaps judges frames that end with a pause.
func gaps(longest int, read func(piece string) reading) judge {
	return func(stretch []byte, _, ended bool) (values []value, refused int) {
		switch {
		case len(stretch) > longest:
			return nil, 1
		case len(stretch) == 0, !ended:
			return nil, 0
		}
		r := read(string(stretch))
		if r.skipped > 0 || !r.valid {
			refused++
		}
		if r.skipped > 0 && !r.valid {
			refused++
		}
		if r.valid {
			values = append(values, r.value)
		}
		return values, refused
	}
}

// triples judges frames of three bytes, least bit first: twenty of the number,
// sign, battery, one that is always set, unit. They count when a pause has ended
// them; those that ran together count all or not at all.
func triples(stretch []byte, first, ended bool) (values []value, refused int) {
	const longestRun = 64
	switch {
	case !ended || len(stretch) == 0:
		return nil, 0
	case first, len(stretch)%3 != 0, len(stretch) > 3*longestRun:
		return nil, 1
	}
	for frame := range slices.Chunk(stretch, 3) {
		if frame[2]&0x40 == 0 {
			return nil, 1
		}
		n := int64(frame[0]) + int64(frame[1])<<8 + int64(frame[2]&0x0f)<<16
		v := value{unit: gauge.Millimetre, length: gauge.Length(n * millimetre / 100), shown: fmt.Sprintf("%d.%02d", n/100, n%100)}
		if frame[2]&0x80 != 0 {
			v = value{unit: gauge.Inch, length: gauge.Length(n * inch / 10_000), shown: fmt.Sprintf("%d.%04d", n/10_000, n%10_000)}
		}
		if frame[2]&0x10 != 0 {
			v.length, v.shown = -v.length, "-"+v.shown
		}
		v.low, v.raw = frame[2]&0x20 != 0, string(frame)
		values = append(values, v)
	}
	return values, 0
}

// readStated reads sign, six digits with a point after the third or second,
// a space, two letters, and perhaps a space and a B, at the end of a piece.
func readStated(piece string) reading {
	body, low := strings.CutSuffix(piece, " B")
	if len(body) < 11 {
		return reading{}
	}
	skipped := len(body) - 11
	shown, space, unit := body[skipped:skipped+8], body[skipped+8], body[skipped+9:]
	whole, fraction, pointed := strings.Cut(shown[1:], ".")
	shape := pointed && (len(whole) == 3 || len(whole) == 2) && areDigits(whole+fraction) &&
		(shown[0] == '+' || shown[0] == '-') && space == ' ' && areLetters(unit)
	if !shape {
		return reading{}
	}
	v := value{shown: shown, low: low, raw: piece[skipped:]}
	switch unit {
	case "mm":
		v.unit, v.length = gauge.Millimetre, inUnits(shown, millimetre)
	case "in":
		v.unit, v.length = gauge.Inch, inUnits(shown, inch)
	default:
		return reading{skipped: skipped}
	}
	return reading{v, true, skipped}
}

// readBare reads one to four digits, a point and two digits, with a minus or
// without a sign.
func readBare(piece string) reading {
	whole, fraction, pointed := strings.Cut(strings.TrimPrefix(piece, "-"), ".")
	if !pointed || len(whole) < 1 || len(whole) > 4 || len(fraction) != 2 || !areDigits(whole+fraction) {
		return reading{}
	}
	v := value{shown: piece, raw: piece, unit: gauge.Millimetre, length: inUnits(piece, millimetre)}
	return reading{value: v, valid: true}
}

// inUnits is the length of decimal text, whose last digit is a whole number of
// picometres.
func inUnits(shown string, unit int64) gauge.Length {
	n, after := int64(0), false
	for _, c := range shown {
		if c == '.' {
			after = true
			continue
		}
		if c < '0' {
			continue // the sign
		}
		n = 10*n + int64(c-'0')
		if after {
			unit /= 10
		}
	}
	if shown[0] == '-' {
		n = -n
	}
	return gauge.Length(n * unit)
}

func areDigits(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool { return r < '0' || r > '9' })
}

func areLetters(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool { return r < 'a' || r > 'z' })
}

// TestJudges: the judges themselves judge right.
func TestJudges(t *testing.T) {
	cases := []struct {
		format  *format
		sent    string
		first   bool
		ended   bool
		values  string // shown, unit and picometres
		refused int
	}{
		{patient, "+012.345 mm\r\n-00.0019 in B\r", true, true, "+012.345 mm 12345000000, -00.0019 in -48260000 low", 0},
		{patient, "+012.3\r+012.345 cm\n+012,345 mm\r+0A2.345 mm\r", false, true, "", 4},
		{patient, "+012.3+001.000 mm\r\n+012.345", false, false, "+001.000 mm 1000000000", 1},
		{patient, "+012.345", false, true, "", 1},
		{patient, "UUUUUUUUUUUUUU+001.000 mm\r", false, true, "", 1}, // too long
		{bare, "2.34\r12.34\r", true, true, "12.34 mm 12340000000", 1},
		{bare, "\r2.34\r12.34\r", true, true, "2.34 mm 2340000000, 12.34 mm 12340000000", 0},
		{gapped, "+012.345 mm", false, true, "+012.345 mm 12345000000", 0},
		{gapped, "+012.345 mm", false, false, "", 0},
		{gapped, "+012.345 mm+012.345 mm", false, true, "+012.345 mm 12345000000", 1},
		{bits, "\xd2\x04\x40\x05\x00\x50\x39\x30\xe0", false, true, "12.34 mm 12340000000, -0.05 mm -50000000, 1.2345 in 31356300000 low", 0},
		{bits, "\xd2\x04\x40\x05\x00\x50\x39", false, true, "", 1},
		{bits, "\xd2\x04\x40\x00\x00\x00", false, true, "", 1},
		{bits, "\xd2\x04\x40", true, true, "", 1},
		{bits, "\xd2\x04\x40", false, false, "", 0},
	}
	for _, c := range cases {
		values, refused := c.format.judge([]byte(c.sent), c.first, c.ended)
		var words []string
		for _, v := range values {
			word := fmt.Sprintf("%s %v %d", v.shown, v.unit, v.length)
			if v.low {
				word += " low"
			}
			words = append(words, word)
		}
		if got := strings.Join(words, ", "); got != c.values || refused != c.refused {
			t.Errorf("%s %q: %q and %d rejections, want %q and %d", c.format.name, c.sent, got, refused, c.values, c.refused)
		}
	}
}
