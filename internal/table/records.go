package table

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"gauged/internal/gauge"
)

// longestRow is how many bytes a row may have. What is longer is no row of a table,
// but a quote that is not closed, or a file that has no lines.
const longestRow = 64 << 10

// records splits a file into records of cells. What is wrong with a record is told;
// reading goes on with the next line, where that is possible.
type records struct {
	source    *source
	problems  *Problems
	remark    func(string) // takes remarks
	separator byte         // 0: the first record says it

	raw    []byte // the record, as the file has it
	line   int    // its first line
	cells  []cell
	failed bool // something is wrong with it, and was told
	coded  bool // it was told that the file is not in UTF-8
	over   bool // nothing more can be read
}

// cell is where a cell lies in a record.
type cell struct {
	start    int // where it begins, with its quote
	from, to int // its text, as the file has it
	doubled  bool
}

// next reads a record; false at the end of the file.
func (r *records) next() bool {
	for !r.over {
		r.raw, r.cells, r.failed = r.raw[:0], r.cells[:0], false
		err := r.more()
		r.line = r.source.line
		switch {
		case errors.Is(err, errTooLong):
			r.tell(0, "file.long-line", gauge.Count("most", longestRow))
			return true
		case err != nil:
			return false
		case r.raw[0] == '#':
			if r.remark != nil {
				r.remark(strings.Trim(string(r.raw), "#,;\t\r\n "))
			}
		case r.separator == 0 && bytes.HasPrefix(r.raw, []byte("sep=")) && len(bytes.TrimSpace(r.raw)) == len("sep=;"):
			// Spreadsheets write this line; the column names say the same.
		case len(bytes.TrimSpace(r.raw)) > 0:
			if r.separator == 0 && !r.separated() {
				return true
			}
			if r.split(); r.failed || !r.empty(0) {
				return true
			}
		}
	}
	return false
}

// more takes the next line into the record.
func (r *records) more() (err error) {
	r.raw, err = r.source.next(r.raw, longestRow)
	if err != nil && !errors.Is(err, errTooLong) {
		r.over = true
		if !errors.Is(err, io.EOF) {
			r.problems.Add(Problem{Line: r.source.line + 1, Char: 1, Err: &fault{gauge.Say("file.no-end", gauge.Because("why", err)), err}})
		}
	}
	return err
}

// separated finds what separates the names of the columns. Commas that all stand
// between two digits are decimal commas where something else separates, as in
// play;2,50..2,54.
func (r *records) separated() bool {
	quoted, decimals := false, true
	var found [3]bool
	const signs = ",;\t"
	for i, b := range r.raw {
		if at := strings.IndexByte(signs, b); b == '"' {
			quoted = !quoted
		} else if !quoted && at >= 0 {
			found[at] = true
			decimals = decimals && (b != ',' || r.digit(i-1) && r.digit(i+1))
		}
	}
	if decimals && (found[1] || found[2]) {
		found[0] = false
	}
	r.separator = ','
	for i, there := range found {
		if there {
			r.separator = signs[i]
		}
	}
	if found[0] && found[1] || found[2] && (found[0] || found[1]) {
		r.tell(0, "file.several-signs")
		return false
	}
	return true
}

// digit reports whether a digit stands at a byte of the record.
func (r *records) digit(at int) bool {
	return at >= 0 && at < len(r.raw) && r.raw[at] >= '0' && r.raw[at] <= '9'
}

// split finds the cells of the record, which is its first line so far.
func (r *records) split() {
	for at, last := 0, false; !last && !r.failed; {
		at, last = r.cell(at)
	}
	if !r.failed {
		r.letters()
	}
}

// cell finds the cell that begins at a place, and where the next one does.
func (r *records) cell(at int) (next int, last bool) {
	for at < len(r.raw) && r.raw[at] != r.separator && strings.IndexByte(" \t\v\f", r.raw[at]) >= 0 {
		at++
	}
	if at < len(r.raw) && r.raw[at] == '"' {
		return r.Quoted(at)
	}
	end := at
	for end < len(r.raw) && r.raw[end] != r.separator && r.raw[end] != '\n' && r.raw[end] != '"' {
		end++
	}
	if end < len(r.raw) && r.raw[end] == '"' {
		r.tell(end, "file.quote-inside")
		return end, true
	}
	text := trimRight(r.raw[at:end])
	if cr := bytes.IndexByte(text, '\r'); cr >= 0 {
		r.tell(at+cr, "file.carriage-return")
		return end, true
	}
	r.cells = append(r.cells, cell{start: at, from: at, to: at + len(text)})
	return end + 1, end == len(r.raw) || r.raw[end] == '\n'
}

// quoted finds a cell that begins with a quote. It may go over several lines.
func (r *records) Quoted(at int) (next int, last bool) {
	c := cell{start: at, from: at + 1}
	for end := c.from; ; end++ {
		if end == len(r.raw) && !r.goesOn(at) {
			return end, true
		}
		if r.raw[end] != '"' {
			continue
		}
		if end+1 < len(r.raw) && r.raw[end+1] == '"' {
			c.doubled = true
			end++
			continue
		}
		c.to = end
		r.cells = append(r.cells, c)
		return r.after(end + 1)
	}
}

// goesOn takes a further line into a cell with a quote at a place.
func (r *records) goesOn(at int) bool {
	if r.more() == nil {
		return true
	}
	r.tell(at, "file.quote-open")
	r.over = true
	return false
}

// after finds where the next cell begins, behind a closing quote.
func (r *records) after(at int) (next int, last bool) {
	for at < len(r.raw) && r.raw[at] != r.separator && strings.IndexByte(" \t\v\f\r", r.raw[at]) >= 0 {
		at++
	}
	switch {
	case at == len(r.raw) || r.raw[at] == '\n':
		return at, true
	case r.raw[at] == r.separator:
		return at + 1, false
	}
	r.tell(at, "file.quote-behind")
	return at, true
}

// letters looks for bytes that are no text in UTF-8.
func (r *records) letters() {
	if nul := bytes.IndexByte(r.raw, 0); nul >= 0 {
		r.tell(nul, "file.zero-byte")
		return
	}
	if utf8.Valid(r.raw) {
		return
	}
	at := bytes.IndexFunc(r.raw, func(x rune) bool { return x == utf8.RuneError })
	for utf8.FullRune(r.raw[at:]) {
		x, size := utf8.DecodeRune(r.raw[at:])
		if x == utf8.RuneError && size == 1 {
			break
		}
		at += size
	}
	if r.failed = true; !r.coded { // one is told, for the file has one form
		r.coded = true
		args := []gauge.Arg{gauge.Text("byte", fmt.Sprintf("%X", r.raw[at]))}
		if b := r.raw[at]; b >= 0xa0 {
			args = append(args, gauge.Text("letter", string(rune(b))))
		}
		r.tell(at, "file.not-utf8", args...)
	}
}

// empty reports whether all cells from one on are.
func (r *records) empty(first int) bool {
	for i := range r.cells[first:] {
		if len(r.bytes(first+i)) > 0 {
			return false
		}
	}
	return true
}

func (r *records) bytes(i int) []byte { return bytes.TrimSpace(r.raw[r.cells[i].from:r.cells[i].to]) }

// text is a cell without the blanks around it, and without what Write set before it.
func (r *records) text(i int) string {
	text := string(r.bytes(i))
	if r.cells[i].doubled {
		text = strings.ReplaceAll(text, `""`, `"`)
	}
	return unguarded(text)
}

// told is a cell with its place.
func (r *records) told(i int) Cell {
	p := r.place(i)
	return Cell{r.text(i), p.Line, p.Char}
}

// place is where a cell begins.
func (r *records) place(i int) Problem { return r.at(r.cells[i].start) }

// end is where the record ends.
func (r *records) end() Problem { return r.at(len(bytes.TrimRight(r.raw, "\r\n"))) }

// at is a byte of the record as line and character.
func (r *records) at(i int) Problem {
	before := r.raw[:i]
	begin := bytes.LastIndexByte(before, '\n') + 1
	return Problem{Line: r.line + bytes.Count(before, []byte("\n")), Char: 1 + utf8.RuneCount(before[begin:])}
}

// tell adds a problem at a byte of the record.
func (r *records) tell(i int, code string, args ...gauge.Arg) {
	r.failed = true
	p := r.at(i)
	p.Err = wrong(code, args...)
	r.problems.Add(p)
}

func isBlank(r rune) bool { return unicode.IsSpace(r) }

func trimRight(text []byte) []byte { return bytes.TrimRight(text, " \t\r") }
