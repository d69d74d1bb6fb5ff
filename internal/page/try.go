package page

import (
	"slices"
	"strconv"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/library"
	"gauged/internal/page/files"
	"gauged/internal/table"
)

// mostTried is how many of the newest jobs are looked through for some to try a copy on.
const mostTried = 100

// tryForm is what a copy can be tried on, and what came of it.
type tryForm struct {
	Jobs      []*job.Job             // of the procedures that the file decides over, newest first
	Job       string                 // the chosen one
	Concerned []*procedure.Procedure // to type readings for
	Procedure string                 // the chosen one
	Readings  string                 // typed, as a table
	Compared  []files.Comparison
	LeftOut   []files.Fault      // readings and parts that the copy has no use for
	Findings  []evaluate.Finding // what is pointed out with the copy
	Faults    []files.Fault      // of the typed readings, or why nothing comes out
}

// offerTry fills in what the copy can be tried on.
func (p *Page) offerTry(r *request, e *editPage) error {
	l := p.o.Station.Library()
	e.Try.Concerned = concerned(l, e.Kind, e.ID)
	jobs, err := p.o.Station.Jobs(r.Context(), gauge.JobQuery{Limit: mostTried})
	if err != nil {
		return err
	}
	for _, j := range jobs {
		if slices.ContainsFunc(e.Try.Concerned, func(p *procedure.Procedure) bool { return p.ID == j.Procedure.ID }) {
			e.Try.Jobs = append(e.Try.Jobs, j)
		}
	}
	if e.Try.Readings == "" && len(e.Try.Concerned) > 0 {
		e.Try.Readings = blankReadings(e.Try.Concerned[0])
	}
	return nil
}

const typedReadings, readingsHeader = "readings", "measurement,value,unit"

// blankReadings is a table of readings to be filled in; those of the proof, which may be
// missing, are remarks until they are.
func blankReadings(p *procedure.Procedure) string {
	lines := []string{readingsHeader}
	for i, steps := range [][]procedure.Step{p.Measure, p.Verify} {
		for _, s := range steps {
			for range s.Repeats {
				lines = append(lines, []string{"", "# "}[i]+s.Name+",,"+s.Unit.String())
			}
		}
	}
	return strings.Join(lines, "\n")
}

// try evaluates a job's readings, or typed ones, with the copy.
func (p *Page) try(r *request, e *editPage, next *library.Library) error {
	e.Try.Job, e.Try.Procedure, e.Try.Readings = r.FormValue("job"), r.FormValue("procedure"), strings.ReplaceAll(r.FormValue("readings"), "\r\n", "\n")
	if e.Try.Job == "" {
		return p.tryTyped(r, e, next)
	}
	id, err := strconv.ParseUint(e.Try.Job, 10, 64)
	if err != nil {
		return errNoPage
	}
	j, err := p.o.Station.Job(r.Context(), id)
	if err != nil {
		return err
	}
	procedure, family, err := next.Procedure(j.Procedure.ID)
	if err != nil {
		return err
	}
	trial, err := j.Try(procedure, family)
	for _, m := range trial.LeftOut {
		e.Try.LeftOut = append(e.Try.LeftOut, files.Fault{Text: r.words.Tell(m)})
	}
	if err != nil {
		e.Try.Faults = []files.Fault{{Text: r.words.Error(err)}}
		return nil
	}
	e.Try.Findings = trial.Evaluation.Findings
	e.Try.Compared, err = files.Compare(r.words, j.Procedure, j.Evaluation, procedure, trial.Evaluation)
	return err
}

// tryTyped evaluates typed readings with the version in force and with the copy.
func (p *Page) tryTyped(r *request, e *editPage, next *library.Library) error {
	id, readings := e.Try.Procedure, e.Try.Readings
	if e.Kind == library.KindProcedure {
		id = e.ID
	}
	now, nowFamily, err := next.Procedure(id)
	if err != nil {
		return err
	}
	if strings.TrimSpace(readings) == "" || blank(readings) {
		return nil
	}
	result, err := evaluateTable(now, nowFamily, readings)
	if err != nil {
		e.Try.Faults = files.Faults(r.words, err, typedReadings)
		return nil
	}
	e.Try.Findings = result.Findings
	then, thenFamily, err := p.o.Station.Library().Procedure(id)
	if err != nil {
		return err
	}
	before, err := evaluateTable(then, thenFamily, readings)
	if err != nil { // the version in force may not know a measurement of the copy
		e.Try.LeftOut = files.Faults(r.words, err, typedReadings)
	}
	e.Try.Compared, err = files.Compare(r.words, then, before, now, result)
	return err
}

func evaluateTable(p *procedure.Procedure, parts procedure.Parts, readings string) (evaluate.Evaluation, error) {
	taken, err := procedure.ReadReadings(typedReadings, []byte(readings), p)
	if err != nil {
		return evaluate.Evaluation{}, err
	}
	return evaluate.Evaluate(p, parts, compute.Input{Readings: taken})
}

// blank reports whether a table has no value at all: nothing was filled in.
func blank(readings string) bool {
	t := table.New(typedReadings, strings.NewReader(readings), table.Form{Others: true})
	for row := range t.Rows() {
		if row.Text("value") != "" || !row.Has("value") {
			return false
		}
	}
	return t.OK()
}
