package app

import (
	"fmt"
	"io"
	"unicode/utf8"
)

// Screen writes text so that no control character of a serial number, a name or a
// frame reaches a terminal: an escape sequence could hide or forge what is shown there.
// Line ends and tabs pass. It is for one writer at a time, and remembers that something
// could not be written: see Failed.
type Screen struct {
	to      io.Writer
	escaped func(rune) string
	part    []byte // of a character that is not whole yet
	failed  *error // the first write that failed
}

// NewScreen returns a Screen that shows such a character as Go writes it: \x1b, \u009b.
func NewScreen(w io.Writer) *Screen {
	return &Screen{to: w, failed: new(error), escaped: func(r rune) string {
		if r < 0x80 {
			return fmt.Sprintf(`\x%02x`, r)
		}
		return fmt.Sprintf(`\u%04x`, r)
	}}
}

// forJSON returns a Screen that shows such a character as JSON may write it. In JSON
// they stand in texts alone, so that the texts stay what they are.
func (s *Screen) forJSON() *Screen {
	return &Screen{to: s.to, failed: s.failed, escaped: func(r rune) string { return fmt.Sprintf(`\u%04x`, r) }}
}

// Failed is why the first write failed that did, of this Screen or one made of it: a
// table is written line by line, and nobody looks after each.
func (s *Screen) Failed() error { return *s.failed }

// Write takes all of p, also where a character is not whole at its end.
func (s *Screen) Write(p []byte) (int, error) {
	text := append(s.part, p...)
	s.part = nil
	out := make([]byte, 0, len(text))
	for len(text) > 0 {
		if !utf8.FullRune(text) {
			s.part = append([]byte(nil), text...)
			break
		}
		r, size := utf8.DecodeRune(text)
		switch {
		case r == utf8.RuneError && size == 1:
			out = fmt.Appendf(out, `\x%02x`, text[0])
		case controls(r):
			out = append(out, s.escaped(r)...)
		default:
			out = append(out, text[:size]...)
		}
		text = text[size:]
	}
	if _, err := s.to.Write(out); err != nil {
		if *s.failed == nil {
			*s.failed = err
		}
		return 0, err
	}
	return len(p), nil
}

// controls reports whether a terminal may act on a character, or show text in another
// order for it. (C0 and C1: ISO/IEC 6429; the marks of direction: Unicode Standard Annex 9.)
func controls(r rune) bool {
	switch {
	case r == '\n' || r == '\t':
		return false
	case r < 0x20, r >= 0x7f && r < 0xa0:
		return true
	}
	return r == 0x061c || r == 0x200e || r == 0x200f || r >= 0x2028 && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}
