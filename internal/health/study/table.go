package study

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"
)

// Table is a CSV file: lines that begin with # are remarks, then one line of
// column names, then rows.
type Table struct {
	file    string
	columns []string
	rows    []tableRow
}

type tableRow struct {
	cells  []string
	line   int
	starts []int // character at which each cell begins, from 1
}

// most is the greatest number of rows that a study has any use for.
const most = 1_000_000

// ReadTable reads the table of a file; the name is for its errors, which are
// file:line:column, what is wrong and what to do.
func ReadTable(file string, content []byte) (*Table, error) {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(content, []byte("\xef\xbb\xbf"))))
	r.Comment = '#'
	r.TrimLeadingSpace = true
	r.FieldsPerRecord = -1
	t := &Table{file: file}
	for {
		cells, err := r.Read()
		var wrong *csv.ParseError
		switch {
		case errors.Is(err, io.EOF) && len(t.rows) == 0:
			return nil, fmt.Errorf("%s: there are no readings: write one line of column names, then one row for each reading", file)
		case errors.Is(err, io.EOF):
			return t, nil
		case errors.As(err, &wrong):
			return nil, fmt.Errorf("%s:%d:%d: %w: close each quote and separate the fields by commas", file, wrong.Line, wrong.Column, wrong.Err)
		case err != nil:
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		row := tableRow{cells: cells, starts: make([]int, len(cells))}
		for i := range cells {
			row.line, row.starts[i] = r.FieldPos(i)
			cells[i] = strings.TrimSpace(cells[i])
		}
		if err := t.add(row); err != nil {
			return nil, err
		}
	}
}

func (t *Table) add(row tableRow) error {
	switch {
	case t.columns == nil:
		return t.name(row)
	case len(row.cells) != len(t.columns):
		return t.at(row, 0, "there are %d fields, and %d column names: give each column a field, empty where there is nothing, and write a point as the decimal sign", len(row.cells), len(t.columns))
	case len(t.rows) == most:
		return t.at(row, 0, "there are more than %d rows: study fewer readings at a time", most)
	}
	t.rows = append(t.rows, row)
	return nil
}

// name takes the line of column names.
func (t *Table) name(row tableRow) error {
	for i, name := range row.cells {
		switch {
		case name == "":
			return t.at(row, i, "column %d has no name: the first line names the columns", i+1)
		case strings.Contains(name, ";"):
			return t.at(row, i, "the column name %q contains a semicolon: separate the fields by commas", name)
		case strings.Contains(name, "\t"):
			return t.at(row, i, "the column name %q contains a tab: separate the fields by commas", name)
		case slices.ContainsFunc(row.cells[:i], func(other string) bool { return strings.EqualFold(other, name) }):
			return t.at(row, i, "the column name %q is there twice: give each column its own name", name)
		}
	}
	t.columns = row.cells
	return nil
}

// at makes an error of one cell.
func (t *Table) at(row tableRow, column int, format string, args ...any) error {
	character := 1
	if column < len(row.starts) {
		character = row.starts[column]
	}
	return fmt.Errorf("%s:%d:%d: %s", t.file, row.line, character, fmt.Sprintf(format, args...))
}

// column returns the index of the column of that name, whatever its case.
func (t *Table) column(name string) (int, bool) {
	i := slices.IndexFunc(t.columns, func(c string) bool { return strings.EqualFold(c, name) })
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
		return fmt.Errorf("%s: no row has %q in the column %s: look at the file, or leave the condition out", t.file, value, column)
	}
	return nil
}

func (t *Table) missing(column string) error {
	return fmt.Errorf("%s: there is no column %q: the columns are %s", t.file, column, strings.Join(t.columns, ", "))
}

// number reads a cell exactly; the second result is false for an empty cell.
func (t *Table) number(row tableRow, column int) (*big.Rat, bool, error) {
	text := row.cells[column]
	if text == "" {
		return nil, false, nil
	}
	x, err := ParseNumber(text)
	if err != nil {
		return nil, false, t.at(row, column, "%v", err)
	}
	return x, true, nil
}

// ParseNumber reads a decimal number exactly.
func ParseNumber(text string) (*big.Rat, error) {
	decimal := strings.Trim(text, "0123456789+-.eE") == ""
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case !decimal || errors.Is(err, strconv.ErrSyntax):
		return nil, fmt.Errorf("%q is not a number: write digits with a point as the decimal sign, without a unit", text)
	case x == 0 && err == nil:
		return new(big.Rat), nil
	case len(text) > 60 || math.Abs(x) > 1e60 || math.Abs(x) < 1e-60:
		return nil, fmt.Errorf("%q is out of range: use a unit in which values lie between 1e-60 and 1e60", text)
	}
	exact, _ := new(big.Rat).SetString(text)
	return exact, nil
}

// Float returns the nearest float64.
func Float(x *big.Rat) float64 {
	f, _ := x.Float64()
	return f
}
