package drift

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"os"
	"slices"
	"strings"
	"time"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/health/study"
	"gauged/internal/table"
)

// checkColumns are the columns of a file of checks. Needed are the time and the error,
// or reading and reference in its place.
var checkColumns = []string{"time", "error", "uncertainty", "shared", "left", "spread", "repeats", "uses", "master", "verdict", "reading", "reference", "unit", "k"}

// checkFile reads checks from a table.
type checkFile struct {
	read    checkReading
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
	unit        gauge.Unit // in which errors are reviewed
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
	t := table.New(name, content, table.Form{
		Columns: append(table.Needed("time"), table.Optional(checkColumns[1:]...)...),
		Names:   read.names, Others: true, Renamed: "say which it is with --column %s=NAME",
	})
	if t.Has("reference") || !t.Has("reading") && !t.Has("error") {
		t.Need(map[bool]string{true: "reading", false: "error"}[t.Has("reference")], "")
	}
	if t.Has("reading") {
		t.Need("reference", "")
	}
	if t.Has("unit") && !read.unit.Known() {
		return none, fmt.Errorf("%s: its lines state a unit: say with --unit in which the errors are shown, and --mpe is", name)
	}
	f := &checkFile{read: read, origins: map[string]*big.Rat{}}
	n := 0
	for r := range t.Rows() {
		if n++; read.first == 0 || n >= read.first && n <= read.last {
			f.take(r)
		}
	}
	if err := t.Err(); err != nil {
		return none, err
	}
	if len(f.series) == 0 {
		return none, fmt.Errorf("%s: there are no rows %d to %d: there are %d", name, read.first, read.last, n)
	}
	return checkFileRead{f.series, t.Others(), f.clock, f.remarks()}, nil
}

// take adds the check of a row to its point.
func (f *checkFile) take(r *table.Row) {
	point := r.Text("master")
	if r.Has("master") && point == "" {
		r.Say("master", "row.check-master")
	}
	c := f.check(r, point)
	if !r.OK() {
		return
	}
	var before *drift.Check
	if i := slices.IndexFunc(f.series, func(s drift.Series) bool { return s.Point == point }); i >= 0 {
		checks := f.series[i].Checks
		before = &checks[len(checks)-1]
	}
	var wrong *drift.WrongCheck
	if errors.As(c.Valid(before), &wrong) {
		r.Wrong(wrong.Of, wrong)
		return
	}
	f.series = addCheck(f.series, point, c)
	if before == nil {
		f.series[len(f.series)-1].Origin = study.Float(f.origins[point])
	}
}

// check reads one row, its errors less the first one at the point.
func (f *checkFile) check(r *table.Row, point string) (c drift.Check) {
	c.Time = f.time(r)
	scale := f.scale(r)
	found := f.found(r, scale)
	origin, begun := f.origins[point]
	if !begun && r.OK() {
		origin = found
		f.origins[point] = origin
	}
	left := found
	if r.Text("left") != "" {
		left = scaled(r, "left", scale)
	}
	var repeats float64
	for _, one := range []struct {
		column string
		into   *float64
	}{{"uncertainty", &c.Uncertainty}, {"shared", &c.Shared}, {"spread", &c.Spread}, {"repeats", &repeats}, {"uses", &c.Uses}} {
		if r.Text(one.column) != "" {
			*one.into = table.Parse(r, one.column, app.ParseNumber)
		}
	}
	times := study.Float(scale)
	c.Uncertainty, c.Shared, c.Spread = c.Uncertainty*times/coverage(r), c.Shared*times, c.Spread*times
	if repeats != math.Trunc(repeats) || math.Abs(repeats) > 1e6 {
		r.Say("repeats", "row.repeats", gauge.Shown("given", fmt.Sprintf("%g", repeats), gauge.UnitUnknown))
	}
	c.Repeats, c.Unused = int(repeats), c.Uses == 0 && r.Text("uses") != ""
	switch c.Verdict = drift.Verdict(r.Text("verdict")); c.Verdict {
	case "", drift.Passed, drift.Failed, drift.Undecided:
	default:
		r.Say("verdict", "row.verdict", table.Quoted(string(c.Verdict)))
	}
	if !r.OK() {
		return c
	}
	c.Found = study.Float(new(big.Rat).Sub(found, origin))
	if left.Cmp(found) != 0 {
		x := study.Float(new(big.Rat).Sub(left, origin))
		c.Left = &x
	} else if r.Text("left") != "" { // nothing was changed
		f.asFound++
	}
	return c
}

// time is when the check was made: a date, or a number.
func (f *checkFile) time(r *table.Row) time.Time {
	text := r.Text("time")
	if _, err := table.Time(text); err != nil {
		text = r.Number("time")
	}
	t, err := f.clock.read(text)
	if err != nil {
		r.Wrong("time", err)
	}
	return t
}

// found is the error as found: as it stands, or that of a reading against its
// reference value. It says nothing when the row has a problem.
func (f *checkFile) found(r *table.Row, scale *big.Rat) *big.Rat {
	if !r.Has("error") {
		return f.difference(r, scale)
	}
	if r.Text("error") == "" {
		r.Say("error", "row.check-error")
		return nil
	}
	found := scaled(r, "error", scale)
	if r.Text("reading") != "" && r.Text("reference") != "" {
		if other := f.difference(r, scale); r.OK() {
			contradicts(r, found, other, study.Float(scale))
		}
	}
	return found
}

// contradicts says that the error of a row is not its reading less its reference value, by
// more than half a digit of the error.
func contradicts(r *table.Row, found, other *big.Rat, scale float64) {
	_, digits, _ := strings.Cut(r.Number("error"), ".")
	apart := study.Float(new(big.Rat).Sub(found, other))
	if math.Abs(apart) > 0.51*scale*math.Pow10(-len(digits)) {
		r.Say("error", "row.check-differs", gauge.Typed("error", r.Number("error")), gauge.Typed("reading", r.Number("reading")),
			gauge.Typed("reference", r.Number("reference")), gauge.Shown("is", number(study.Float(other)/scale), gauge.UnitUnknown))
	}
}

// difference is a reading less its reference value.
func (f *checkFile) difference(r *table.Row, scale *big.Rat) *big.Rat {
	reading, reference := scaled(r, "reading", scale), scaled(r, "reference", scale)
	if reading == nil || reference == nil {
		return nil
	}
	if f.read.slope != nil {
		reading = new(big.Rat).Quo(new(big.Rat).Sub(reading, f.read.offset), f.read.slope)
	}
	return new(big.Rat).Sub(reading, reference)
}

// scale is the unit of the lengths of a row in that of the review.
func (f *checkFile) scale(r *table.Row) *big.Rat {
	if r.Text("unit") == "" { // they are in that of the review
		return big.NewRat(1, 1)
	}
	unit := app.LengthUnit(r, f.read.unit)
	return big.NewRat(max(int64(unit.Size()), 1), int64(f.read.unit.Size()))
}

// scaled reads a length of a row; nil is an error.
func scaled(r *table.Row, column string, scale *big.Rat) *big.Rat {
	x := table.Parse(r, column, exactNumber)
	if x == nil {
		return nil
	}
	return new(big.Rat).Mul(x, scale)
}

// coverage is the factor that makes the uncertainty of a row an expanded one; without the
// column k it is a standard uncertainty.
func coverage(r *table.Row) float64 {
	if !r.Has("k") || r.Text("uncertainty") == "" {
		return 1
	}
	if r.Text("k") == "" {
		r.Say("k", "row.coverage-missing")
		return 1
	}
	k := table.Parse(r, "k", app.ParseNumber)
	if r.OK() && !(k >= 1 && k <= 10) {
		r.Say("k", "row.coverage", gauge.Shown("given", fmt.Sprintf("%g", k), gauge.UnitUnknown))
	}
	return max(k, 1)
}

// exactNumber reads a number with all its digits; nil is an error.
func exactNumber(text string) (*big.Rat, error) {
	if _, err := app.ParseNumber(text); err != nil {
		return nil, err
	}
	return study.ParseNumber(text)
}
