package study

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/table"
)

// Table is the rows of a CSV table, as package table reads them.
type Table struct {
	file    string
	columns []string
	named   int // line of the column names; 0: in no file
	rows    []tableRow
	decimal *table.Decimal // nil: a point
}

type tableRow struct {
	cells  []string
	line   int
	starts []int // character at which each cell begins, from 1; nil: not known
}

// most is the greatest number of rows that a study has any use for.
const most = 1_000_000

// ReadTable reads the table of a file; the name is for its problems, all of which are in
// the error.
func ReadTable(file string, content []byte) (*Table, error) {
	in := table.New(file, bytes.NewReader(content), table.Form{Others: true})
	t := &Table{file: file, columns: in.Names(), decimal: in.Decimal()}
	if heads := in.Heads(); len(heads) > 0 {
		t.named = heads[0].Line
	}
	for row := range in.Rows() {
		if len(t.rows) == most {
			row.Say("", "refusal.figures.many-rows", gauge.Count("most", most))
			break
		}
		r := tableRow{line: row.Line()}
		for _, cell := range row.Cells() {
			r.cells, r.starts = append(r.cells, cell.Text), append(r.starts, cell.Char)
		}
		t.rows = append(t.rows, r)
	}
	return t, in.Err()
}

// refused is what is wrong with the columns.
func (t *Table) refused(code string, args ...gauge.Arg) error {
	place := t.file
	if t.named > 0 {
		place = fmt.Sprintf("%s:%d:1", t.file, t.named)
	}
	return refused(place, code, args...)
}

// wrong is what is wrong with one cell.
func (t *Table) wrong(row tableRow, column int, code string, args ...gauge.Arg) *table.Problem {
	return t.problem(row, column, gauge.WrongInput(code, args...))
}

func (t *Table) problem(row tableRow, column int, why error) *table.Problem {
	p := &table.Problem{File: t.file, Line: row.line, Char: 1, Column: t.columns[column], Err: why}
	if row.starts != nil {
		p.Char = row.starts[column]
	}
	return p
}

// column returns the index of the column of that name, however it is written.
func (t *Table) column(name string) (int, bool) {
	i := slices.IndexFunc(t.columns, func(c string) bool { return table.Alike(c, name) })
	return i, i >= 0
}

// Only keeps the rows that have the value in the column.
func (t *Table) Only(column, value string) error {
	i, ok := t.column(column)
	if !ok {
		return t.missing(column)
	}
	t.rows = slices.DeleteFunc(t.rows, func(row tableRow) bool { return row.cells[i] != value })
	if len(t.rows) == 0 {
		return refused(t.file, "refusal.figures.no-row", gauge.Text("value", value), gauge.Text("column", column))
	}
	return nil
}

func (t *Table) missing(column string) error {
	return t.refused("refusal.figures.no-column", gauge.Text("column", column), gauge.Texts("columns", t.columns))
}

// number reads a cell exactly; the second result is false for an empty cell.
func (t *Table) number(row tableRow, column int) (*big.Rat, bool, *table.Problem) {
	text := row.cells[column]
	if text == "" {
		return nil, false, nil
	}
	if t.decimal != nil {
		point, err := t.decimal.Point(text, row.line)
		if err != nil {
			return nil, false, t.problem(row, column, err)
		}
		text = point
	}
	x, err := ParseNumber(text)
	if err != nil {
		return nil, false, t.problem(row, column, err)
	}
	return x, true, nil
}

// ParseNumber reads a decimal number exactly.
func ParseNumber(text string) (*big.Rat, error) {
	decimal := strings.Trim(text, "0123456789+-.eE") == ""
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case !decimal || errors.Is(err, strconv.ErrSyntax):
		return nil, gauge.WrongInput("refusal.figures.no-number", gauge.Text("given", text))
	case x == 0 && err == nil:
		return new(big.Rat), nil
	case len(text) > 60 || math.Abs(x) > 1e60 || math.Abs(x) < 1e-60:
		return nil, gauge.WrongInput("refusal.figures.out-of-range", gauge.Text("given", text))
	}
	exact, _ := new(big.Rat).SetString(text)
	return exact, nil
}

// Float returns the nearest float64.
func Float(x *big.Rat) float64 {
	f, _ := x.Float64()
	return f
}
