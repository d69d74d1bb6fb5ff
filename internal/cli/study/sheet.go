package study

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/readfile"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/health/study"
	"gauged/internal/table"
)

// sheet is a study as it is measured: all its rows in the order in which they are to
// be measured, and the readings so far. It is kept in a CSV file, which gaugectl
// study KIND FILE reads too; so the study can go on after an interruption.
type sheet struct {
	gauge     string
	kind      study.Kind
	tolerance string   // its width as it was written, such as 0.1 mm; empty: none
	recorded  string   // number of the stored study; empty: not yet
	remarks   []string // what was taken back
	rows      []sheetRow
}

type sheetRow struct {
	part, person, trial string
	master, reference   string
	value, unit         string // empty: not measured yet
	seq                 string // of the reading in the history; empty: typed
}

// sheetColumns are the columns of the file.
var sheetColumns = []struct {
	name string
	of   func(*sheetRow) *string
}{
	{"part", func(r *sheetRow) *string { return &r.part }},
	{"appraiser", func(r *sheetRow) *string { return &r.person }},
	{"trial", func(r *sheetRow) *string { return &r.trial }},
	{"master", func(r *sheetRow) *string { return &r.master }},
	{"reference", func(r *sheetRow) *string { return &r.reference }},
	{"value", func(r *sheetRow) *string { return &r.value }},
	{"unit", func(r *sheetRow) *string { return &r.unit }},
	{"reading", func(r *sheetRow) *string { return &r.seq }},
}

// next is the row that is measured next; -1 when all are.
func (s *sheet) next() int {
	return slices.IndexFunc(s.rows, func(r sheetRow) bool { return r.value == "" })
}

// unit is that of the readings so far.
func (s *sheet) unit() string { return s.rows[0].unit }

// put takes a reading. The unit of the first one is that of the study.
func (s *sheet) put(i int, value, unit, seq string) error {
	if s.unit() != "" && s.unit() != unit {
		return errors.New(show.Says(gauge.Say("refusal.page.one-unit", gauge.Text("given", unit), gauge.Text("unit", s.unit()))))
	}
	if _, symbol := app.SplitUnit(s.tolerance); symbol != "" {
		if _, err := gauge.ParseUnit(unit, gauge.KindLength); err != nil {
			return fmt.Errorf("the reading is in %s, the tolerance %s is a length: it is not taken", unit, s.tolerance)
		}
	}
	for k := range s.rows {
		s.rows[k].unit = unit
	}
	s.rows[i].value, s.rows[i].seq = value, seq
	return nil
}

// takeBack takes the last reading out again.
func (s *sheet) takeBack() (sheetRow, bool) {
	i := s.next()
	if i < 0 {
		i = len(s.rows)
	}
	if i == 0 {
		return sheetRow{}, false
	}
	r := s.rows[i-1]
	s.remarks = append(s.remarks, fmt.Sprintf("discarded: row %d, %s %s%s", i, r.value, r.unit, show.Only(r.seq != "", ", reading "+r.seq)))
	s.rows[i-1].value, s.rows[i-1].seq = "", ""
	if i == 1 {
		for k := range s.rows {
			s.rows[k].unit = ""
		}
	}
	return r, true
}

// same tells whether another sheet asks for the same.
func (s *sheet) same(o *sheet) bool {
	return s.gauge == o.gauge && s.kind == o.kind && s.tolerance == o.tolerance && slices.EqualFunc(s.rows, o.rows, func(a, b sheetRow) bool {
		a.value, a.unit, a.seq, b.value, b.unit, b.seq = "", "", "", "", "", ""
		return a == b
	})
}

// Remarks of the file that are read again.
const (
	sheetGauge     = "gauge"
	sheetKind      = "kind"
	sheetTolerance = "tolerance"
	sheetRecorded  = "recorded as study"
)

// save writes the file whole or not at all.
func (s *sheet) save(path string) error {
	var out bytes.Buffer
	for _, r := range [][2]string{{sheetGauge, s.gauge}, {sheetKind, string(s.kind)}, {sheetTolerance, s.tolerance}, {sheetRecorded, s.recorded}} {
		if r[1] != "" {
			fmt.Fprintf(&out, "# %s: %s\n", r[0], r[1])
		}
	}
	for _, r := range s.remarks {
		fmt.Fprintf(&out, "# %s\n", r)
	}
	var header []string
	for _, c := range sheetColumns {
		if s.used(c.name) {
			header = append(header, c.name)
		}
	}
	rows := [][]string{header}
	for i := range s.rows {
		var cells []string
		for _, c := range sheetColumns {
			if s.used(c.name) {
				cells = append(cells, *c.of(&s.rows[i]))
			}
		}
		rows = append(rows, cells)
	}
	_ = table.Write(&out, rows) // a bytes.Buffer takes everything
	return app.ReplaceFile(path, out.Bytes())
}

// used tells whether a column is in the file.
func (s *sheet) used(name string) bool {
	switch name {
	case "value", "unit", "reading", "trial":
		return true
	case "part", "appraiser":
		return s.kind == study.CrossedKind || s.kind == study.NestedKind
	case "reference":
		return s.rows[0].reference != ""
	}
	return s.rows[0].master != ""
}

// readSheet reads a file that save wrote; nil when there is none.
func readSheet(path string) (*sheet, error) {
	content, err := readfile.Whole(path, app.LongestFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	s := &sheet{}
	for line := range strings.Lines(string(content)) {
		text, remark := strings.CutPrefix(strings.TrimRight(strings.TrimPrefix(line, "\ufeff"), ",;\t\r\n "), "# ")
		if !remark {
			break
		}
		name, value, _ := strings.Cut(text, ": ")
		switch name {
		case sheetGauge:
			s.gauge = value
		case sheetKind:
			s.kind = study.Kind(value)
		case sheetTolerance:
			s.tolerance = value
		case sheetRecorded:
			s.recorded = value
		default:
			s.remarks = append(s.remarks, text)
		}
	}
	if s.gauge == "" || s.kind == "" {
		return nil, fmt.Errorf("%s is not the sheet of a study: it does not begin with the remarks gauge and kind", path)
	}
	return s, s.readRows(path, content)
}

// readRows reads the rows of a sheet, as they were written.
func (s *sheet) readRows(path string, content []byte) error {
	var names []string
	for _, c := range sheetColumns {
		names = append(names, c.name)
	}
	t := table.New(path, bytes.NewReader(content), table.Form{Columns: table.Optional(names...)})
	for r := range t.Rows() {
		var row sheetRow
		for _, c := range sheetColumns {
			*c.of(&row) = r.Text(c.name)
		}
		if row.value != "" {
			row.value = r.Number("value")
		}
		if _, err := strconv.ParseUint(row.seq, 10, 64); row.seq != "" && err != nil {
			r.Say("reading", "row.no-reading", table.Quoted(row.seq))
		}
		s.rows = append(s.rows, row)
	}
	return t.Err()
}
