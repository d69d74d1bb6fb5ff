package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"gauged/internal/drift"
)

// checkColumns are the columns of a file of checks; the first two are needed.
var checkColumns = []string{"time", "error", "uncertainty", "left", "spread", "repeats", "uses"}

// largest is the size up to which a number of the file is read: what is larger
// is a slip, and its squares would overflow.
const largest = 1e100

// checkFile reads checks from CSV.
type checkFile struct {
	name   string
	rows   *csv.Reader
	column map[string]int // of the columns that are there
	row    []string
}

// readChecks reads the checks of a file; names maps columns to their names
// there. unused are the columns that say nothing to us.
func readChecks(name string, names map[string]string) (checks []drift.Check, unused []string, err error) {
	content, err := os.Open(name)
	if err != nil {
		return nil, nil, err
	}
	defer content.Close()
	f := &checkFile{name: name, rows: newTableReader(content)}
	if unused, err = f.readHeader(names); err != nil {
		return nil, nil, err
	}
	for {
		f.row, err = f.rows.Read()
		switch {
		case errors.Is(err, io.EOF) && len(checks) > 0:
			return checks, unused, nil
		case errors.Is(err, io.EOF):
			return nil, nil, fmt.Errorf("%s: there are no checks under the line of column names", name)
		case err != nil:
			return nil, nil, brokenTable(f.name, err)
		}
		c, err := f.check()
		if err != nil {
			return nil, nil, err
		}
		var before *drift.Check
		if len(checks) > 0 {
			before = &checks[len(checks)-1]
		}
		var wrong *drift.WrongCheck
		if errors.As(c.Valid(before), &wrong) {
			return nil, nil, f.at(wrong.Of, wrong)
		}
		checks = append(checks, c)
	}
}

// readHeader finds the columns.
func (f *checkFile) readHeader(names map[string]string) (unused []string, err error) {
	header, err := f.rows.Read()
	if errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s: the file is empty: it begins with a line of column names, time and error at least", f.name)
	}
	if err != nil {
		return nil, brokenTable(f.name, err)
	}
	if err := separated(f.name, f.rows, header); err != nil {
		return nil, err
	}
	f.column = map[string]int{}
	for i, cell := range header {
		cell = strings.TrimSpace(cell)
		line, column := f.rows.FieldPos(i)
		known := slices.IndexFunc(checkColumns, func(c string) bool { return strings.EqualFold(cell, named(c, names)) })
		if known < 0 {
			unused = append(unused, cell)
			continue
		}
		if _, twice := f.column[checkColumns[known]]; twice {
			return nil, fmt.Errorf("%s:%d:%d: the column %q is there twice: name one of them otherwise", f.name, line, column, cell)
		}
		f.column[checkColumns[known]] = i
	}
	line, _ := f.rows.FieldPos(0)
	for _, c := range checkColumns {
		_, asked := names[c]
		if _, there := f.column[c]; !there && (asked || c == "time" || c == "error") {
			return nil, fmt.Errorf("%s:%d:1: there is no column %q among %s: name it in the file, or say which it is with --column %s=NAME", f.name, line, named(c, names), strings.Join(header, ", "), c)
		}
	}
	return unused, nil
}

// named is the name of a column in the file.
func named(column string, names map[string]string) string {
	if name, ok := names[column]; ok {
		return name
	}
	return column
}

// at places an error at a column of the row.
func (f *checkFile) at(column string, err error) error {
	line, character := f.rows.FieldPos(f.column[column])
	return fmt.Errorf("%s:%d:%d: %w", f.name, line, character, err)
}

// check reads one row.
func (f *checkFile) check() (c drift.Check, err error) {
	if c.Time, err = parseCheckTime(f.cell("time")); err != nil {
		return c, f.at("time", err)
	}
	if f.cell("error") == "" {
		return c, f.at("error", errors.New("a check needs the error as found: write it, or leave the line out"))
	}
	var left, repeats float64
	into := map[string]*float64{"error": &c.Found, "uncertainty": &c.Uncertainty, "left": &left, "spread": &c.Spread, "repeats": &repeats, "uses": &c.Uses}
	for _, column := range checkColumns[1:] {
		text := f.cell(column)
		if text == "" {
			continue
		}
		if *into[column], err = parseNumber(text); err != nil {
			return c, f.at(column, err)
		}
		if column == "left" {
			c.Left = &left
		}
	}
	if repeats != math.Trunc(repeats) || math.Abs(repeats) > 1e6 {
		return c, f.at("repeats", fmt.Errorf("%g is not a number of repeats", repeats))
	}
	c.Repeats = int(repeats)
	return c, nil
}

func (f *checkFile) cell(column string) string {
	i, ok := f.column[column]
	if !ok {
		return ""
	}
	return strings.TrimSpace(f.row[i])
}

func parseNumber(text string) (float64, error) {
	x, err := strconv.ParseFloat(text, 64)
	decimal := strings.Trim(text, "0123456789+-.eE") == "" // as people write it: no infinity, no underscores
	switch {
	case err != nil && strings.Contains(text, ","):
		return 0, fmt.Errorf("%q is not a number: the decimal sign must be a point, not a comma", text)
	case !decimal || errors.Is(err, strconv.ErrSyntax):
		return 0, fmt.Errorf("%q is not a number: write it as -0.0125, or leave the cell empty where nothing is known", text)
	case math.Abs(x) > largest:
		return 0, fmt.Errorf("%q is too large to be meant", text)
	}
	return x, nil
}

func parseCheckTime(text string) (time.Time, error) {
	for _, form := range []string{time.DateOnly, time.RFC3339} {
		if t, err := time.Parse(form, text); err == nil && t.Year() >= 1900 && t.Year() < 2200 {
			return t.UTC(), nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is not a time: write 2026-03-31 or 2026-03-31T14:05:00Z", text)
}
