package table

import (
	"slices"

	"gauged/internal/gauge"
)

// Row is one row of a table.
type Row struct {
	table *Table
	wrong []int // columns that a problem was told of
}

// Has reports whether a column is there.
func (r *Row) Has(column string) bool { return r.table.Has(column) }

// Line is the number of the row's line in the file, from 1.
func (r *Row) Line() int { return r.table.records.line }

// Text is the cell of a column without the blanks around it; empty when the column is
// not there.
func (r *Row) Text(column string) string {
	if i, ok := r.table.columns[column]; ok {
		return r.table.records.text(i)
	}
	return ""
}

// Number is the cell of a column that holds a number, with a point as its decimal
// sign: still text. A decimal comma that the file does not allow is a problem.
func (r *Row) Number(column string) string {
	text := r.Text(column)
	point, err := r.table.decimal.Point(text, r.Line())
	if err != nil {
		r.Wrong(column, err)
		return text
	}
	return point
}

// Parse reads the number of a column by a parser of texts. An error of the parser is
// a problem of the cell; the result is then that of the parser.
func Parse[T any](r *Row, column string, parser func(text string) (T, error)) T {
	x, err := parser(r.Number(column))
	if err != nil {
		r.Wrong(column, err)
	}
	return x
}

// Wrong says what is wrong with the cell of a column, and what to do. A column that is
// not there stands for the whole row. The first problem of a cell is told.
func (r *Row) Wrong(column string, err error) {
	i, ok := r.table.columns[column]
	if !ok {
		i = -1
	}
	if slices.Contains(r.wrong, i) {
		return
	}
	r.wrong = append(r.wrong, i)
	p := r.Place(column)
	p.Err = err
	r.table.problems.Add(p)
}

// Place is where the cell of a column stands, or the row where the column is not there:
// a problem that does not say yet what is wrong.
func (r *Row) Place(column string) Problem {
	i, ok := r.table.columns[column]
	p := r.table.records.place(i)
	if ok {
		p.Column = r.table.header[i]
	} else {
		p.Char = 1
	}
	return p
}

// Say is Wrong with the message of a code, which is told in each language.
func (r *Row) Say(column, code string, args ...gauge.Arg) { r.Wrong(column, wrong(code, args...)) }

// OK reports whether nothing is wrong with the row.
func (r *Row) OK() bool { return len(r.wrong) == 0 }

// Cells are all cells of the row with their places, in the order of the file.
func (r *Row) Cells() []Cell {
	cells := make([]Cell, len(r.table.header))
	for i := range cells {
		cells[i] = r.table.records.told(i)
	}
	return cells
}
