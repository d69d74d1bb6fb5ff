// Package sheet makes the job sheet: everything that a job was decided from, on
// paper. One content has two forms, a print page and a PDF; both have the same
// words in the same order.
package sheet

import (
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
	"gauged/internal/station"
	"gauged/internal/words"
)

// Input is what a sheet tells of.
type Input struct {
	Station string
	Job     *job.Job
	Course  []job.CourseStep
	Gauges  []Gauge
	Record  string // head of the history that the job stands in; empty: not said
}

// Gauge is a gauge that the job used, with its checks.
type Gauge struct {
	station.GaugeInfo
	Health *health.Gauge
	Checks []*check.Record // oldest first
}

// Sheet is the content, in the words of one language.
type Sheet struct {
	Title    string
	Outcome  string
	Of       evaluate.Outcome // gives the verdict its colour
	Head     []Pair
	Sections []Section
	Signs    []string // lines to be signed
	Foot     string
}

// Pair is a name with its value.
type Pair struct{ Name, Value string }

// Section is a table or a list under a title.
type Section struct {
	Title string
	Notes []string
	Table *Table // nil: only the notes
}

// Table is rows under a head. Shares are the widths of the columns relative to
// each other.
type Table struct {
	Head   []string
	Shares []float64
	Rows   []Row
}

// dropEmpty takes out the columns in which no row says anything.
func (t *Table) dropEmpty() {
	for column := len(t.Head) - 1; column >= 0 && len(t.Rows) > 0; column-- {
		if slices.ContainsFunc(t.Rows, func(r Row) bool { return r.Cells[column] != "-" }) {
			continue
		}
		t.Head, t.Shares = slices.Delete(t.Head, column, column+1), slices.Delete(t.Shares, column, column+1)
		for i := range t.Rows {
			t.Rows[i].Cells = slices.Delete(t.Rows[i].Cells, column, column+1)
		}
	}
}

// Row is one line of a table. A struck one does not count, and says so in a cell.
type Row struct {
	Cells  []string
	Struck bool
	Strong bool
}

// New makes the content.
func New(in Input, w words.Words) (*Sheet, error) {
	m := &maker{teller: teller{w: w.WithSigns(), text: in.Job.Procedure.TextIn}, in: in, p: in.Job.Procedure, e: &in.Job.Evaluation}
	s := m.sheet()
	return s, m.err
}
