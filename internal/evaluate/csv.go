package evaluate

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// readingColumns are the columns of a file of readings; the first three are needed.
var readingColumns = []string{"measurement", "value", "unit", "gauge", "discarded"}

// ReadReadings reads a CSV file of readings for the procedure: a header line,
// then a line for each reading in the order in which they were taken. Lines
// that begin with # are remarks. name is used in problems only.
func ReadReadings(name string, content []byte, p *Procedure) ([]Reading, error) {
	r := csv.NewReader(bytes.NewReader(content))
	r.Comment = '#'
	r.FieldsPerRecord = -1
	header, err := r.Read()
	if errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s:1:1: the file is empty; it begins with the line %s", name, strings.Join(readingColumns[:3], ","))
	}
	if err != nil {
		return nil, csvProblem(name, err)
	}
	c := csvReadings{name: name, r: r, p: p, header: header}
	if err := c.checkHeader(); err != nil {
		return nil, err
	}
	var readings []Reading
	var problems []error
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return readings, errors.Join(problems...)
		}
		if err != nil {
			return nil, errors.Join(append(problems, csvProblem(name, err))...)
		}
		reading, err := c.reading(record)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		readings = append(readings, reading)
	}
}

// csvProblem gives a syntax error of the CSV file its place in our form.
func csvProblem(name string, err error) error {
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		return fmt.Errorf("%s:%d:%d: %w", name, parse.Line, parse.Column, parse.Err)
	}
	return fmt.Errorf("%s: %w", name, err)
}

type csvReadings struct {
	name   string
	r      *csv.Reader
	p      *Procedure
	header []string
}

func (c *csvReadings) problem(column int, format string, args ...any) error {
	line, at := c.r.FieldPos(column)
	return fmt.Errorf("%s:%d:%d: %w", c.name, line, at, fmt.Errorf(format, args...))
}

func (c *csvReadings) checkHeader() error {
	for i, h := range c.header {
		c.header[i] = strings.TrimSpace(h)
		if !slices.Contains(readingColumns, c.header[i]) {
			return c.problem(i, "%q is not a column; the columns are %s", c.header[i], strings.Join(readingColumns, ", "))
		}
		if slices.Contains(c.header[:i], c.header[i]) {
			return c.problem(i, "the column %q stands here twice", c.header[i])
		}
	}
	for _, need := range readingColumns[:3] {
		if !slices.Contains(c.header, need) {
			return c.problem(0, "the column %q is missing", need)
		}
	}
	return nil
}

func (c *csvReadings) reading(record []string) (Reading, error) {
	if len(record) > len(c.header) {
		return Reading{}, c.problem(len(c.header), "the line has more values than the header; a decimal comma must be written as a point")
	}
	var reading Reading
	var unit, value int
	for i, text := range record {
		text = strings.TrimSpace(text)
		switch c.header[i] {
		case "measurement":
			reading.Measurement = text
			if _, _, ok := c.p.Step(text); !ok {
				return Reading{}, c.problem(i, "procedure %s has no measurement %q", c.p.ID, text)
			}
		case "value":
			reading.Shown, value = text, i
		case "unit":
			if unit = i; text == "" {
				continue // a mark has none
			}
			u, err := gauge.ParseUnit(text)
			if err != nil {
				return Reading{}, c.problem(i, "%v", err)
			}
			reading.Unit = u
		case "gauge":
			reading.Gauge = text
		case "discarded":
			reading.Discarded = text
		}
	}
	if len(record) < 2 || reading.Measurement == "" || len(record) <= slices.Index(c.header, "unit") && !c.p.bare(reading) {
		return Reading{}, c.problem(0, "the line is too short: it needs a measurement, a value and a unit")
	}
	return c.typed(reading, value, unit)
}

// bare reports whether what was read needs no unit: a mark, or that none can be read.
func (p *Procedure) bare(r Reading) bool {
	s, _, _ := p.Step(r.Measurement)
	return len(s.Codes) > 0 || r.Shown == Unreadable && s.Unreadable != nil
}

// typed reads the value as if it were typed in. A mark needs no unit.
func (c *csvReadings) typed(given Reading, value, unit int) (Reading, error) {
	s, _, _ := c.p.Step(given.Measurement)
	if !given.Unit.Known() && !c.p.bare(given) {
		return Reading{}, c.problem(unit, "%s: %w", given.Measurement, gauge.MissingUnit(given.Shown, s.Unit))
	}
	r, err := c.p.Typed(given.Measurement, given.Shown, given.Unit)
	var wrong *UnitError
	switch {
	case errors.As(err, &wrong):
		return Reading{}, c.problem(unit, "%w", err)
	case err != nil:
		return Reading{}, c.problem(value, "%w", err)
	}
	r.Gauge, r.Discarded = given.Gauge, given.Discarded
	return r, nil
}
