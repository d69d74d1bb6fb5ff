// Package table is the one reader of CSV tables (RFC 4180), and their writer.
//
// A table has one line of column names, then one row a line. Lines that begin with
// # are remarks; blank lines, and rows whose cells are all empty, are passed over.
// Cells are separated by commas, semicolons or tabs: the line of column names says
// by which. Capitals, blanks, hyphens and underscores in column names are alike:
// "Unit Serial" is unit_serial. Blanks around a cell are none of it. A byte order mark
// is passed over; a file in any other form than UTF-8 is refused and named.
//
// The decimal sign is a point. It may be a comma where semicolons separate, or where
// a remark above the column names says "# decimal: comma". One file has one decimal
// sign: a comma is never guessed to be one, and no sign of thousands is read. Numbers
// stay text, for whoever reads them exactly.
//
// Rows are given one at a time and are not kept, so that a file of any length takes
// the same memory. Every problem has its file, line, character and column, and one
// pass finds all, up to a bound.
package table

import (
	"io"
	"iter"
	"strings"

	"gauged/internal/gauge"
)

// Form says which columns a table has.
type Form struct {
	Columns []Column
	// Names are what columns are called in this file, where that is not their own
	// name. Such a column is needed.
	Names map[string]string
	// Others allows columns that are not among Columns. They are read by their names.
	Others bool
	// Written takes names as they are written, such as -3 and 3, or 0.10..0.19: they are
	// alike only where they are the same.
	Written bool
	// Renamed says what to do when a column has another name in the file, such as
	// "say which it is with --column %s=NAME"; %s stands for the column. Empty: nothing.
	Renamed string
}

// Column is a column that is known.
type Column struct {
	Name   string // in small letters, with underscores
	Needed bool
}

// Needed are columns that must be there.
func Needed(names ...string) []Column { return columns(true, names) }

// Optional are columns that may be there.
func Optional(names ...string) []Column { return columns(false, names) }

func columns(needed bool, names []string) []Column {
	all := make([]Column, len(names))
	for i, name := range names {
		all[i] = Column{name, needed}
	}
	return all
}

// Table is a table that is read row by row.
type Table struct {
	file     string
	form     Form
	records  records
	header   []string       // names as the file has them
	heads    []Cell         // and where they stand
	columns  map[string]int // by the names of the form, and of others
	others   []string
	decimal  Decimal
	problems *Problems
	broken   bool // no row is read
}

// New begins to read a table: its line of column names. The name of the file is for
// problems. What is wrong is told by Err.
func New(file string, content io.Reader, form Form) *Table {
	t := &Table{file: file, form: form, problems: NewProblems(file), columns: map[string]int{}}
	t.records = records{source: newSource(content), problems: t.problems}
	t.readHeader()
	return t
}

// Names are the column names as the file has them.
func (t *Table) Names() []string { return t.header }

// Cell is the text of a cell without the blanks around it, and its place: line and
// character from 1.
type Cell struct {
	Text       string
	Line, Char int
}

// Heads are the column names with their places, as the file has them.
func (t *Table) Heads() []Cell { return t.heads }

// Others are the names of columns that the form does not know.
func (t *Table) Others() []string { return t.others }

// Has reports whether a column is there.
func (t *Table) Has(column string) bool {
	_, ok := t.columns[column]
	return ok
}

// Need says that a column must be there, beside those of the form; without it no row
// is read. The remedy is told in the place of the usual one, unless it is empty. Need
// is called before Rows.
func (t *Table) Need(column, remedy string) {
	if len(t.header) > 0 && !t.Has(column) {
		t.missing([]string{column}, remedy)
	}
}

// Decimal is how numbers are written in the table.
func (t *Table) Decimal() *Decimal { return &t.decimal }

// Rows gives each row once. A row is good until the next one. Rows with problems of
// their own, such as too few cells, are not given, and none is after the bound of
// problems.
func (t *Table) Rows() iter.Seq[*Row] {
	return func(yield func(*Row) bool) {
		row := &Row{table: t}
		rows := 0
		for !t.broken && !t.problems.Full() {
			if !t.records.next() {
				break
			}
			rows++
			if t.records.failed || !t.counts() {
				continue
			}
			row.wrong = row.wrong[:0]
			if !yield(row) {
				return
			}
		}
		if !t.broken && rows == 0 && !t.problems.Any() {
			t.problems.Add(Problem{Line: t.records.line, Char: 1, Err: wrong("file.no-rows")})
		}
		t.broken = true // what was read is read
	}
}

// counts says when a row has not as many cells as there are columns.
func (t *Table) counts() bool {
	cells, names := t.records.cells, t.header
	switch {
	case len(cells) < len(names):
		rest := make([]string, 0, 4)
		for _, name := range names[len(cells):min(len(names), len(cells)+3)] {
			rest = append(rest, shown(name))
		}
		if len(cells)+3 < len(names) {
			rest = append(rest, "...")
		}
		p := t.records.end()
		p.Err = wrong("file.few-cells", gauge.Count("cells", len(cells)), gauge.Count("names", len(names)), gauge.Texts("missing", rest), t.records.sign())
		t.problems.Add(p)
	case len(cells) > len(names):
		p := t.records.place(len(names))
		p.Err = wrong("file.many-cells", gauge.Count("cells", len(cells)), gauge.Count("more", len(cells)-len(names)), gauge.Nested("remedy", t.extra()))
		t.problems.Add(p)
	default:
		return true
	}
	return false
}

// extra says what to do with more cells than columns.
func (t *Table) extra() gauge.Message {
	switch {
	case t.records.empty(len(t.header)):
		return gauge.Say("file.extra.last", t.records.sign())
	case t.records.separator == ',':
		return gauge.Say("file.extra.comma")
	}
	return gauge.Say("file.extra.quotes", t.records.sign())
}

// Err is everything that is wrong with the table, in the order of the file; nil when
// nothing is. It is known when the rows have been read.
func (t *Table) Err() error { return t.problems.Err() }

// OK reports whether nothing is wrong so far.
func (t *Table) OK() bool { return !t.problems.Any() }

// sign is what separates the cells, as an argument.
func (r *records) sign() gauge.Arg {
	return gauge.Word("sign", map[byte]string{',': "file.sign.comma", ';': "file.sign.semicolon", '\t': "file.sign.tab"}[r.separator])
}

// Alike reports whether two names are of one column.
func Alike(a, b string) bool { return plainName(a) == plainName(b) }

// plainName is a column name without what may differ in writing it.
func plainName(name string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return r == '_' || r == '-' || isBlank(r)
	}), "_")
}

// known returns the names of the form's columns.
func (f *Form) known() []string {
	names := make([]string, len(f.Columns))
	for i, c := range f.Columns {
		names[i] = f.called(c.Name)
	}
	return names
}

// called is the name that a column has in the file.
func (f *Form) called(column string) string {
	if name, ok := f.Names[column]; ok {
		return name
	}
	return column
}
