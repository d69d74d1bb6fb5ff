package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// readingColumns are the columns of a table of check readings; the first three are
// needed.
var readingColumns = []string{"master", "value", "reading", "check", "way", "state", "uncertainty", "k", "expansion", "unit"}

// tableCheck is one check of a table.
type tableCheck struct {
	name        string
	unit        gauge.Unit // of its first line
	found, left []check.Point
}

func (c *tableCheck) titled() string {
	if c.name == "" {
		return "the check"
	}
	return "check " + c.name
}

// checkRows reads check readings from CSV.
type checkRows struct {
	name    string
	unit    gauge.Unit // of lines without one
	rows    *csv.Reader
	column  map[string]int
	row     []string
	masters map[string]check.Master // of the lines before
}

// readCheckReadings reads the checks of a table in the order of their first lines.
func readCheckReadings(name string, unit gauge.Unit) ([]*tableCheck, error) {
	content, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer content.Close()
	r := &checkRows{name: name, unit: unit, rows: newTableReader(content), masters: map[string]check.Master{}}
	if err := r.readHeader(); err != nil {
		return nil, err
	}
	var checks []*tableCheck
	for {
		r.row, err = r.rows.Read()
		switch {
		case errors.Is(err, io.EOF) && len(checks) > 0:
			return checks, nil
		case errors.Is(err, io.EOF):
			return nil, fmt.Errorf("%s: there are no readings under the line of column names", name)
		case err != nil:
			return nil, brokenTable(name, err)
		}
		if checks, err = r.take(checks); err != nil {
			return nil, err
		}
	}
}

func (r *checkRows) readHeader() error {
	header, err := r.rows.Read()
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("%s: the file is empty: it begins with a line of column names, master, value and reading at least", r.name)
	}
	if err != nil {
		return brokenTable(r.name, err)
	}
	if err := separated(r.name, r.rows, header); err != nil {
		return err
	}
	r.column = map[string]int{}
	for i, cell := range header {
		cell = strings.ToLower(strings.TrimSpace(cell))
		line, character := r.rows.FieldPos(i)
		_, twice := r.column[cell]
		switch {
		case !slices.Contains(readingColumns, cell):
			return fmt.Errorf("%s:%d:%d: the column %q is not known: leave it out, or use %s", r.name, line, character, cell, strings.Join(readingColumns, ", "))
		case twice:
			return fmt.Errorf("%s:%d:%d: the column %q is there twice", r.name, line, character, cell)
		}
		r.column[cell] = i
	}
	line, _ := r.rows.FieldPos(0)
	for _, c := range readingColumns[:3] {
		if _, there := r.column[c]; !there {
			return fmt.Errorf("%s:%d:1: there is no column %q among %s", r.name, line, c, strings.Join(header, ", "))
		}
	}
	return nil
}

// take takes a line into its check.
func (r *checkRows) take(checks []*tableCheck) ([]*tableCheck, error) {
	unit, err := r.lineUnit()
	if err != nil {
		return nil, err
	}
	m, err := r.master(unit)
	if err != nil {
		return nil, err
	}
	reading, err := gauge.ParseLength(r.cell("reading"), unit)
	if err != nil {
		return nil, r.at("reading", err)
	}
	falling, err := r.oneOf("way", "rising", "falling")
	if err != nil {
		return nil, err
	}
	left, err := r.oneOf("state", "found", "left")
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(checks, func(c *tableCheck) bool { return c.name == r.cell("check") })
	if i < 0 {
		i = len(checks)
		checks = append(checks, &tableCheck{name: r.cell("check"), unit: unit})
	}
	points := &checks[i].found
	if left {
		points = &checks[i].left
	}
	at := slices.IndexFunc(*points, func(p check.Point) bool { return p.Master.ID == m.ID && p.Falling == falling })
	if at < 0 {
		at = len(*points)
		*points = append(*points, check.Point{Master: m, Falling: falling})
	}
	(*points)[at].Readings = append((*points)[at].Readings, reading)
	return checks, nil
}

func (r *checkRows) lineUnit() (gauge.Unit, error) {
	text := r.cell("unit")
	if text == "" && !r.unit.Known() {
		line, _ := r.rows.FieldPos(0)
		return r.unit, fmt.Errorf("%s:%d:1: in which unit is it? Write a column unit, or say it with --unit", r.name, line)
	}
	if text == "" {
		return r.unit, nil
	}
	unit, err := gauge.ParseUnit(text, gauge.KindLength)
	if err != nil {
		return unit, r.at("unit", err)
	}
	return unit, nil
}

// master is that of the line; all lines of one master must say the same of it.
func (r *checkRows) master(unit gauge.Unit) (m check.Master, err error) {
	if m.ID = r.cell("master"); m.ID == "" {
		return m, r.at("master", errors.New("the name of the master is missing"))
	}
	if m.Value, err = gauge.ParseLength(r.cell("value"), unit); err != nil {
		return m, r.at("value", err)
	}
	if text := r.cell("uncertainty"); text != "" {
		c := gauge.Expanded{}
		if c.Uncertainty, err = gauge.ParseLength(text, unit); err != nil || c.Uncertainty <= 0 {
			return m, r.at("uncertainty", fmt.Errorf("%q is no uncertainty above zero", text))
		}
		if c.K, err = gauge.ParseLength(r.cell("k"), gauge.One); err != nil || c.K <= 0 {
			return m, r.at("uncertainty", fmt.Errorf("the uncertainty needs its coverage factor in the column k, above zero, not %q", r.cell("k")))
		}
		m.Certified = &c
	}
	if text := r.cell("expansion"); text != "" {
		x := gauge.Expansion{}
		if x.PerKelvin, err = gauge.ParseLength(text, gauge.One); err != nil {
			return m, r.at("expansion", fmt.Errorf("%q is not a number of 1e-6/K", text))
		}
		m.Expansion = &x
	}
	before, known := r.masters[m.ID]
	if known && !sameMaster(before, m) {
		return m, r.at("master", fmt.Errorf("master %s has another value, uncertainty or expansion than in the lines before: give it another name", m.ID))
	}
	r.masters[m.ID] = m
	return m, nil
}

func sameMaster(a, b check.Master) bool {
	same := a.Value == b.Value && (a.Certified == nil) == (b.Certified == nil) && (a.Expansion == nil) == (b.Expansion == nil)
	return same && (a.Certified == nil || *a.Certified == *b.Certified) && (a.Expansion == nil || a.Expansion.PerKelvin == b.Expansion.PerKelvin)
}

// oneOf reports whether a cell has the second word; empty stands for the first.
func (r *checkRows) oneOf(column, first, second string) (bool, error) {
	is, err := oneOfTwo(r.cell(column), first, second)
	if err != nil {
		return false, r.at(column, err)
	}
	return is, nil
}

// at places an error at a column of the row.
func (r *checkRows) at(column string, err error) error {
	line, character := r.rows.FieldPos(r.column[column])
	return fmt.Errorf("%s:%d:%d: %w", r.name, line, character, err)
}

func (r *checkRows) cell(column string) string {
	i, ok := r.column[column]
	if !ok {
		return ""
	}
	return strings.TrimSpace(r.row[i])
}
