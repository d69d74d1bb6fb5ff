package study

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/table"
)

// Role is what a column stands for.
type Role string

// The roles that columns have in a study.
const (
	Value     Role = "value"     // a reading, or the mean of repeats when Deviation and Repeats are given
	Part      Role = "part"      // what was measured: a part, a check standard
	Appraiser Role = "appraiser" // who measured
	Trial     Role = "trial"     // which repeat it is
	Reference Role = "reference" // the reference value of what was measured
	Group     Role = "group"     // group of a one-way analysis
	Gauge     Role = "gauge"     // which gauge
	Day       Role = "day"
	Run       Role = "run"
	Time      Role = "time"      // label of a point in time; the order is that of the rows
	Deviation Role = "deviation" // standard deviation of the repeats whose mean Value is
	Repeats   Role = "repeats"   // how many repeats Value is the mean of
)

// names are the names under which a column is found when no name is given; the
// role's own name comes first.
var names = map[Role][]string{
	Value:     {"reading", "measurement", "measured", "result", "y"},
	Part:      {"part_id", "specimen", "sample", "artifact", "artefact", "standard", "check_standard", "item"},
	Appraiser: {"person", "operator", "technician", "inspector"},
	Trial:     {"repeat", "replicate", "repetition"},
	Reference: {"ref", "reference_value", "master", "x"},
	Group:     {"batch", "lot", "level", "laboratory", "treatment"},
	Gauge:     {"gage", "instrument", "probe"},
	Run:       {"session"},
	Time:      {"date", "timestamp", "when", "day"},
	Deviation: {"sd", "stddev", "standard_deviation"},
	Repeats:   {"count", "n"},
}

// Columns maps roles to the names of columns. A role that is not in it is
// looked for under its own name and its usual names. The text of Reference and
// Repeats may be a number that holds for all rows.
type Columns map[Role]string

// Row is one reading, or the mean of several, with what it is a reading of.
type Row struct {
	Line                                      int
	Part, Appraiser, Trial, Group, Gauge, Day string
	Run, Time                                 string
	Value                                     float64 // the reading less Data.Origin
	Reference                                 float64 // the reference value
	Error                                     float64 // the reading less the reference value
	Deviation                                 float64 // of the repeats whose mean Value is
	Repeats                                   int     // 1 for a single reading

	off float64 // the reference value less that of the first row, with all its digits
}

// Data is what a study is made of.
type Data struct {
	File    string
	Origin  float64 // Value of each row counts from here
	Rows    []Row
	Unit    string // of the values, where there is a column unit
	Empty   int    // rows without a value, which were left out
	Summary bool   // rows are means of repeats with their standard deviations
	has     map[Role]bool

	known    float64 // reference value of the first row, from which off counts
	overTime bool    // repeats, days and runs, not appraisers with parts of their own
}

// Has tells whether the table has a column, or a number, for the role.
func (d *Data) Has(r Role) bool { return d.has[r] }

// place finds the column of a role. It is -1 without one; fixed is a number
// given in the place of a column.
func (t *Table) place(c Columns, r Role) (column int, fixed *big.Rat, err error) {
	if name, ok := c[r]; ok {
		if i, ok := t.column(name); ok {
			return i, nil, nil
		}
		if r == Reference || r == Repeats {
			if fixed, err := ParseNumber(name); err == nil {
				return -1, fixed, nil
			}
		}
		return -1, nil, t.missing(name)
	}
	if i, ok := t.column(string(r)); ok {
		return i, nil, nil
	}
	found := -1
	for _, name := range names[r] {
		i, ok := t.column(name)
		switch {
		case !ok || t.taken(c, i):
		case found >= 0:
			return -1, nil, t.refused("refusal.figures.two-columns", gauge.Text("role", string(r)), gauge.Text("one", t.columns[found]), gauge.Text("other", t.columns[i]))
		default:
			found = i
		}
	}
	return found, nil, nil
}

// taken tells whether a column was given to a role by its name.
func (t *Table) taken(c Columns, column int) bool {
	for _, name := range c {
		if table.Alike(name, t.columns[column]) {
			return true
		}
	}
	return false
}

// Data reads the columns of the given roles. Value is always wanted, the
// others if they are there; those in need must be.
func (t *Table) Data(c Columns, roles, need []Role) (*Data, error) {
	d := &Data{File: t.file, has: map[Role]bool{}}
	at := map[Role]int{}
	fixed := map[Role]*big.Rat{}
	for _, r := range append([]Role{Value}, roles...) {
		column, number, err := t.place(c, r)
		if err != nil {
			return nil, err
		}
		if number != nil {
			fixed[r] = number
		}
		if column >= 0 {
			at[r] = column
		}
		d.has[r] = column >= 0 || number != nil
		if !d.has[r] && (r == Value || slices.Contains(need, r)) {
			return nil, t.refused("refusal.figures.name-column", gauge.Text("role", string(r)), gauge.Texts("columns", t.columns))
		}
	}
	d.Summary = d.has[Deviation]
	if d.Summary && !d.has[Repeats] {
		return nil, t.refused("refusal.figures.no-repeats", gauge.Text("column", t.columns[at[Deviation]]))
	}
	var err error
	if d.Unit, err = t.unit(); err != nil {
		return nil, err
	}
	return d, t.fill(d, at, fixed)
}

// fill reads the rows.
func (t *Table) fill(d *Data, at map[Role]int, fixed map[Role]*big.Rat) error {
	var origin, known *big.Rat
	problems := table.NewProblems(t.file)
	for _, row := range t.rows {
		value, ok, wrong := t.number(row, at[Value])
		if wrong == nil && !ok {
			d.Empty++
			continue
		}
		r := Row{Line: row.line, Repeats: 1}
		var reference *big.Rat
		if wrong == nil {
			wrong = t.labels(&r, row, at)
		}
		if wrong == nil {
			reference, wrong = t.numbers(&r, row, value, at, fixed)
		}
		if wrong != nil {
			problems.Add(*wrong)
			continue
		}
		if origin == nil {
			origin = value
			d.Origin = Float(value)
		}
		r.Value = Float(new(big.Rat).Sub(value, origin))
		if reference != nil {
			if known == nil {
				known, d.known = reference, Float(reference)
			}
			r.off = Float(new(big.Rat).Sub(reference, known))
		}
		d.Rows = append(d.Rows, r)
	}
	if len(d.Rows) == 0 && !problems.Any() {
		return t.refused("refusal.figures.empty-column", gauge.Text("column", t.columns[at[Value]]))
	}
	return problems.Err()
}

// labels takes what the reading is of. No label may be empty.
func (t *Table) labels(r *Row, row tableRow, at map[Role]int) *table.Problem {
	for _, l := range []struct {
		role Role
		into *string
	}{
		{Part, &r.Part},
		{Appraiser, &r.Appraiser},
		{Trial, &r.Trial},
		{Group, &r.Group},
		{Gauge, &r.Gauge},
		{Day, &r.Day},
		{Run, &r.Run},
		{Time, &r.Time},
	} {
		column, ok := at[l.role]
		if !ok {
			continue
		}
		if *l.into = row.cells[column]; *l.into == "" {
			return t.wrong(row, column, "refusal.figures.empty-label", gauge.Text("role", string(l.role)))
		}
	}
	return nil
}

// numbers takes what belongs to the reading besides its value, and returns the
// reference value, nil without one.
func (t *Table) numbers(r *Row, row tableRow, value *big.Rat, at map[Role]int, fixed map[Role]*big.Rat) (*big.Rat, *table.Problem) {
	get := func(role Role) (*big.Rat, *table.Problem) {
		column, ok := at[role]
		if !ok {
			return fixed[role], nil
		}
		x, ok, err := t.number(row, column)
		if err == nil && !ok {
			err = t.wrong(row, column, "refusal.figures.empty-number", gauge.Text("role", string(role)))
		}
		return x, err
	}
	reference, err := get(Reference)
	if err != nil {
		return nil, err
	}
	if reference != nil {
		r.Reference = Float(reference)
		r.Error = Float(new(big.Rat).Sub(value, reference))
	}
	deviation, err := get(Deviation)
	if err != nil || deviation == nil {
		return reference, err
	}
	if deviation.Sign() < 0 {
		return nil, t.wrong(row, at[Deviation], "refusal.figures.negative-deviation")
	}
	r.Deviation = Float(deviation)
	repeats, err := get(Repeats)
	if err != nil {
		return nil, err
	}
	n, bad := strconv.Atoi(repeats.RatString())
	if bad != nil || n < 2 || n > most {
		column, ok := at[Repeats]
		if !ok {
			column = at[Deviation]
		}
		return nil, t.wrong(row, column, "refusal.figures.repeats", gauge.Text("given", repeats.RatString()))
	}
	r.Repeats = n
	return reference, nil
}

// distinct returns the labels in the order in which they come first.
func distinct(rows []Row, label func(Row) string) []string {
	seen := map[string]bool{}
	var all []string
	for _, r := range rows {
		if l := label(r); !seen[l] {
			seen[l] = true
			all = append(all, l)
		}
	}
	return all
}

// Finds tells whether the table has a column for the role.
func (t *Table) Finds(c Columns, r Role) bool {
	column, _, err := t.place(c, r)
	return err != nil || column >= 0 // one that cannot be told from another is there too
}

// repeated refuses a trial that is there twice.
func (d *Data) repeated() error {
	if !d.Has(Trial) {
		return nil
	}
	lines := map[[3]string]int{}
	for _, r := range d.Rows {
		key := [3]string{r.Part, r.Appraiser, r.Trial}
		if line := lines[key]; line > 0 {
			return refused(fmt.Sprintf("%s:%d:1", d.File, r.Line), "refusal.figures.trial-twice", gauge.Text("part", r.Part), gauge.Text("appraiser", r.Appraiser), gauge.Text("trial", r.Trial), gauge.Count("before", line))
		}
		lines[key] = r.Line
	}
	return nil
}

// unit returns the unit of all rows where there is a column of that name.
func (t *Table) unit() (string, error) {
	i, ok := t.column("unit")
	if !ok {
		return "", nil
	}
	first := t.rows[0].cells[i]
	for _, row := range t.rows {
		if row.cells[i] != first {
			return "", t.wrong(row, i, "refusal.figures.two-units", gauge.Text("given", row.cells[i]), gauge.Text("first", first))
		}
	}
	return first, nil
}
