package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"math/big"
	"os"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/health/drift"
	"gauged/internal/health/study"
)

// checkColumns are the columns of a file of checks. Needed are the time and the error,
// or reading and reference in its place.
var checkColumns = []string{"time", "error", "uncertainty", "shared", "left", "spread", "repeats", "uses", "master", "verdict", "reading", "reference"}

// largest is the size up to which a number of the file is read: what is larger
// is a slip, and its squares would overflow.
const largest = 1e100

// checkFile reads checks from CSV.
type checkFile struct {
	name   string
	rows   *csv.Reader
	column map[string]int // of the columns that are there
	row    []string
	read   checkReading

	series  []drift.Series
	origins map[string]*big.Rat // first error at each point: errors count from it
	clock   checkClock
	asFound int // checks whose error as left is that as found
}

// checkReading is how a file is read.
type checkReading struct {
	names       map[string]string // columns by their names there
	first, last int               // rows; 0: all
	offset      *big.Rat          // reading of a true value of 0, and reading per true value
	slope       *big.Rat
}

// checkFileRead is what a file says.
type checkFileRead struct {
	series  []drift.Series
	unused  []string
	clock   checkClock
	remarks []string
}

// readChecks reads the checks of a file.
func readChecks(name string, read checkReading) (checkFileRead, error) {
	none := checkFileRead{}
	content, err := os.Open(name)
	if err != nil {
		return none, err
	}
	defer content.Close()
	f := &checkFile{name: name, rows: newTableReader(content), read: read, origins: map[string]*big.Rat{}}
	unused, err := f.readHeader(read.names)
	if err != nil {
		return none, err
	}
	for n := 1; ; n++ {
		f.row, err = f.rows.Read()
		switch {
		case errors.Is(err, io.EOF) && len(f.series) > 0:
			return checkFileRead{f.series, unused, f.clock, f.remarks()}, nil
		case errors.Is(err, io.EOF) && n > 1:
			return none, fmt.Errorf("%s: there are no rows %d to %d: there are %d", name, read.first, read.last, n-1)
		case errors.Is(err, io.EOF):
			return none, fmt.Errorf("%s: there are no checks under the line of column names", name)
		case err != nil:
			return none, brokenTable(f.name, err)
		case read.first > 0 && (n < read.first || n > read.last):
			continue
		}
		if err := f.take(); err != nil {
			return none, err
		}
	}
}

// take adds the check of a row to its point.
func (f *checkFile) take() error {
	point := f.cell("master")
	if _, there := f.column["master"]; there && point == "" {
		return f.at("master", errors.New("say at which master the check was made, or leave the line out"))
	}
	c, err := f.check(point)
	if err != nil {
		return err
	}
	var before *drift.Check
	if i := slices.IndexFunc(f.series, func(s drift.Series) bool { return s.Point == point }); i >= 0 {
		checks := f.series[i].Checks
		before = &checks[len(checks)-1]
	}
	var wrong *drift.WrongCheck
	if errors.As(c.Valid(before), &wrong) {
		return f.at(wrong.Of, wrong)
	}
	f.series = addCheck(f.series, point, c)
	if before == nil {
		f.series[len(f.series)-1].Origin = study.Float(f.origins[point])
	}
	return nil
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
	_, reading := f.column["reading"]
	_, reference := f.column["reference"]
	for _, c := range checkColumns {
		_, asked := names[c]
		needed := c == "time" || c == "error" && !reading && !reference || c == "reading" && reference || c == "reference" && reading
		if _, there := f.column[c]; !there && (asked || needed) {
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

// check reads one row, its errors less the first one at the point.
func (f *checkFile) check(point string) (c drift.Check, err error) {
	if c.Time, err = f.clock.read(f.cell("time")); err != nil {
		return c, f.at("time", err)
	}
	found, err := f.found()
	if err != nil {
		return c, err
	}
	origin, begun := f.origins[point]
	if !begun {
		origin = found
		f.origins[point] = origin
	}
	c.Found = study.Float(new(big.Rat).Sub(found, origin))
	if text := f.cell("left"); text != "" {
		left, err := f.exact("left")
		if err != nil {
			return c, err
		}
		x := study.Float(new(big.Rat).Sub(left, origin))
		if c.Left = &x; left.Cmp(found) == 0 { // nothing was changed
			c.Left = nil
			f.asFound++
		}
	}
	var repeats float64
	for _, one := range []struct {
		column string
		into   *float64
	}{{"uncertainty", &c.Uncertainty}, {"shared", &c.Shared}, {"spread", &c.Spread}, {"repeats", &repeats}, {"uses", &c.Uses}} {
		if text := f.cell(one.column); text != "" {
			if *one.into, err = parseNumber(text); err != nil {
				return c, f.at(one.column, err)
			}
		}
	}
	if repeats != math.Trunc(repeats) || math.Abs(repeats) > 1e6 {
		return c, f.at("repeats", fmt.Errorf("%g is not a number of repeats", repeats))
	}
	c.Repeats, c.Unused = int(repeats), c.Uses == 0 && f.cell("uses") != ""
	switch c.Verdict = drift.Verdict(f.cell("verdict")); c.Verdict {
	case "", drift.Passed, drift.Failed, drift.Undecided:
		return c, nil
	}
	return c, f.at("verdict", fmt.Errorf("%q is no verdict: write pass, fail or undecided, or leave the cell empty", c.Verdict))
}

// found is the error as found: as it stands, or that of a reading against its
// reference value.
func (f *checkFile) found() (*big.Rat, error) {
	if _, there := f.column["error"]; there {
		if f.cell("error") == "" {
			return nil, f.at("error", errors.New("a check needs the error as found: write it, or leave the line out"))
		}
		found, err := f.exact("error")
		if err != nil || f.cell("reading") == "" || f.cell("reference") == "" {
			return found, err
		}
		return found, f.contradicts(found)
	}
	return f.difference()
}

// contradicts says that the error of a row is not its reading less its reference value, by
// more than half a digit of the error.
func (f *checkFile) contradicts(found *big.Rat) error {
	other, err := f.difference()
	if err != nil {
		return err
	}
	_, digits, _ := strings.Cut(f.cell("error"), ".")
	apart := study.Float(new(big.Rat).Sub(found, other))
	if math.Abs(apart) > 0.51*math.Pow10(-len(digits)) {
		return f.at("error", fmt.Errorf("the error %s is not the reading %s less the reference value %s, which is %s: correct the row, or leave out the column error, or reading and reference; all are in one unit",
			f.cell("error"), f.cell("reading"), f.cell("reference"), number(study.Float(other))))
	}
	return nil
}

// difference is a reading less its reference value.
func (f *checkFile) difference() (*big.Rat, error) {
	reading, err := f.exact("reading")
	if err != nil {
		return nil, err
	}
	reference, err := f.exact("reference")
	if err != nil {
		return nil, err
	}
	if f.read.slope != nil {
		reading = new(big.Rat).Quo(new(big.Rat).Sub(reading, f.read.offset), f.read.slope)
	}
	return new(big.Rat).Sub(reading, reference), nil
}

// exact reads a number with all its digits.
func (f *checkFile) exact(column string) (*big.Rat, error) {
	text := f.cell(column)
	if _, err := parseNumber(text); err != nil {
		return nil, f.at(column, err)
	}
	x, err := study.ParseNumber(text)
	if err != nil {
		return nil, f.at(column, err)
	}
	return x, nil
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
