package table

import (
	"encoding/csv"
	"io"
	"strings"
	"unicode"
)

// Write writes rows as CSV (RFC 4180), so that a spreadsheet takes no cell for a
// formula: what was scanned or typed, such as a serial number, may begin like one. Such
// a text has an apostrophe in front, which the reader takes off again, and so has one that
// begins with the sign of a remark; numbers stay as they are. (Which signs begin a formula: OWASP, CSV Injection, from memory.)
func Write(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	for _, row := range rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			if cells[i] = cell; taken(cell) {
				cells[i] = guard + cell
			}
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// guard stands before a text that would be taken for a formula.
const guard = "'"

// taken reports whether a spreadsheet may take a text for a formula, or the reader for a
// remark, or for a text with a guard.
func taken(text string) bool {
	if rest, guarded := strings.CutPrefix(text, guard); guarded {
		return taken(rest)
	}
	if strings.HasPrefix(text, "\t") || strings.HasPrefix(text, "\r") || strings.HasPrefix(text, "\n") {
		return true
	}
	text = strings.TrimLeftFunc(text, unicode.IsSpace)
	return strings.IndexAny(text, "=+-@＝＋－＠#") == 0 && !number(text)
}

// number reports whether a text is a decimal number, with a sign or without.
func number(text string) bool {
	text = strings.TrimLeft(text[:1], "+-") + text[1:]
	whole, fraction, _ := strings.Cut(text, ".")
	digits := whole + fraction
	return digits != "" && strings.Trim(digits, "0123456789") == ""
}

// unguarded is a text as it was before it was written.
func unguarded(text string) string {
	if rest, guarded := strings.CutPrefix(text, guard); guarded && taken(rest) {
		return rest
	}
	return text
}
