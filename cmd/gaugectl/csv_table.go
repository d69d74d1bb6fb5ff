package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
)

// tableColumn is a column of a CSV file.
type tableColumn struct {
	name   string
	needed bool
}

// tableRow is one line of a CSV file that begins with a line of column names.
// Lines that begin with # are remarks.
type tableRow struct {
	name    string
	rows    *csv.Reader
	columns map[string]int // of those that are there
	cells   []string
}

// readTable calls row for each line. Every problem has its file, line and column;
// a column that is not known is one, so that no slip of the pen passes.
func readTable(name string, columns []tableColumn, row func(*tableRow) error) error {
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	t := &tableRow{name: name, rows: newTableReader(file), columns: map[string]int{}}
	if err := t.header(columns); err != nil {
		return err
	}
	for {
		t.cells, err = t.rows.Read()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return brokenTable(name, err)
		}
		if err := row(t); err != nil {
			return err
		}
	}
}

func (t *tableRow) header(columns []tableColumn) error {
	cells, err := t.rows.Read()
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("%s: the file is empty: it begins with a line of column names", t.name)
	}
	if err != nil {
		return brokenTable(t.name, err)
	}
	if err := separated(t.name, t.rows, cells); err != nil {
		return err
	}
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.name
	}
	for i, cell := range cells {
		cell = strings.ToLower(strings.TrimSpace(cell))
		line, column := t.rows.FieldPos(i)
		if !slices.Contains(names, cell) {
			return fmt.Errorf("%s:%d:%d: the column %q is not known: there are %s", t.name, line, column, cell, strings.Join(names, ", "))
		}
		if _, twice := t.columns[cell]; twice {
			return fmt.Errorf("%s:%d:%d: the column %q is there twice", t.name, line, column, cell)
		}
		t.columns[cell] = i
	}
	line, _ := t.rows.FieldPos(0)
	for _, c := range columns {
		if _, ok := t.columns[c.name]; c.needed && !ok {
			return fmt.Errorf("%s:%d:1: there is no column %q", t.name, line, c.name)
		}
	}
	return nil
}

// has reports whether a column is there.
func (t *tableRow) has(column string) bool {
	_, ok := t.columns[column]
	return ok
}

// cell is the text of a column; empty when it is not there.
func (t *tableRow) cell(column string) string {
	i, ok := t.columns[column]
	if !ok {
		return ""
	}
	return strings.TrimSpace(t.cells[i])
}

func (t *tableRow) line() int {
	line, _ := t.rows.FieldPos(0)
	return line
}

// errorf places an error at a column.
func (t *tableRow) errorf(column, format string, args ...any) error {
	line, character := t.rows.FieldPos(t.columns[column])
	return fmt.Errorf("%s:%d:%d: %w", t.name, line, character, fmt.Errorf(format, args...))
}

// whole reads a whole number over 0.
func (t *tableRow) whole(column string) (uint64, error) {
	n, err := strconv.ParseUint(t.cell(column), 10, 63)
	if err != nil || n == 0 {
		return 0, t.errorf(column, "%q is not a whole number over 0", t.cell(column))
	}
	return n, nil
}
