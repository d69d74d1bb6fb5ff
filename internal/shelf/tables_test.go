package shelf

import (
	"errors"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/library"
	"gauged/internal/station"
	"gauged/internal/words"
)

// The procedure and its tables are invented for these tests.
const (
	looksUp = `procedure: ring
title: Ring
unit: mm
measure: {depth: {title: depth}}
tables: {chart: {mode: row, by: {depth: {unit: mm, step: 0.01}}, file: chart.csv}}
values: {more: chart(depth)}
`
	oldChart = "depth,more\n0.00..0.99,1.10\n1.00..1.99,1.20\n"
	newChart = "depth,more\n0.00..0.99,1.10\n1.00..1.99,1.30\n"
)

// tabled is a rig whose procedure looks up a table in a file of its own.
func tabled(t *testing.T) *rig {
	t.Helper()
	r := &rig{t: t, dir: t.TempDir()}
	r.write("ring.yaml", looksUp)
	r.write("rings.yaml", parts)
	r.write("chart.csv", oldChart)
	r.run(r.read)
	return r
}

// found is what a new job looks up for a depth of 1.5 mm.
func (r *rig) found() *job.Job {
	r.t.Helper()
	j, err := r.station.StartJob(r.t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "U-1", Technician: "ann"})
	if err != nil {
		r.t.Fatal(err)
	}
	j, _, err = r.station.Enter(r.t.Context(), station.EnterRequest{Job: j.ID, Shown: "1.50", Unit: gauge.Millimetre})
	if err != nil {
		r.t.Fatal(err)
	}
	return j
}

func more(t *testing.T, j *job.Job) string {
	t.Helper()
	for _, s := range j.Evaluation.Sums {
		if s.Name == "more" {
			return s.Value.Text(gauge.Millimetre, 2)
		}
	}
	t.Fatalf("nothing was looked up: %+v", j.Evaluation)
	return ""
}

// TestTableFileChanged: a reload takes a table as it takes the procedure, and a job
// keeps the table with which it was begun.
func TestTableFileChanged(t *testing.T) {
	r := tabled(t)
	before := r.found()
	if got := more(t, before); got != "1.20" {
		t.Fatalf("looked up %s", got)
	}
	r.write("chart.csv", newChart)
	released, err := r.Reload(t.Context())
	if err != nil || len(released) != 1 || released[0].ID != "ring" {
		t.Fatalf("released %v, %v", released, err)
	}
	if got := more(t, r.found()); got != "1.30" {
		t.Errorf("the new table gives %s", got)
	}
	replay, err := r.station.ReplayVerdicts(t.Context(), before.ID)
	if err != nil || len(replay.Differences) > 0 || replay.Verdicts == 0 {
		t.Errorf("the job does not replay: %+v, %v", replay, err)
	}
	if again, err := r.station.Job(t.Context(), before.ID); err != nil || more(t, again) != "1.20" {
		t.Errorf("the job has another table now: %v", err)
	}
	if released, err := r.Reload(t.Context()); err != nil || len(released) != 0 {
		t.Errorf("nothing changed, and released is %v, %v", released, err)
	}
}

// TestTableFileProblemsAtReload: a slip in the table is told at its place in the table's
// file, and what was in force stays so.
func TestTableFileProblemsAtReload(t *testing.T) {
	r := tabled(t)
	r.write("chart.csv", strings.Replace(oldChart, "1.20", "1,20", 1))
	_, err := r.Reload(t.Context())
	if want := r.path("chart.csv") + ":3:14: the line has 3 cells"; err == nil || !strings.Contains(words.In(words.English).Error(err), want) {
		t.Errorf("got %v, want %s", err, want)
	}
	if got := more(t, r.found()); got != "1.20" {
		t.Errorf("in force is %s", got)
	}
}

// TestSaveLeavesTablesAlone: saving writes the procedure's file alone; tables in files
// of their own are changed there.
func TestSaveLeavesTablesAlone(t *testing.T) {
	r := tabled(t)
	if err := r.Save(t.Context(), r.revision("title: Ring", "title: Shim")); err != nil {
		t.Fatal(err)
	}
	if got, want := r.disk("ring.yaml"), strings.Replace(looksUp, "title: Ring", "title: Shim", 1); got != want || r.disk("chart.csv") != oldChart {
		t.Errorf("written is %s", got)
	}
	if released, err := r.Reload(t.Context()); err != nil || len(released) != 0 {
		t.Errorf("what was saved is read back as %v, %v", released, err)
	}
	fromForm := r.revision("title: Shim", "title: Ring")
	fromForm.Content = []byte(strings.ReplaceAll(string(fromForm.Content), "\n", "\r\n"))
	if err := r.Save(t.Context(), fromForm); err != nil {
		t.Errorf("lines that end as those of a form do: %v", err)
	}
	err := r.Save(t.Context(), r.revisionOf(library.KindProcedure, "ring", "1.99,1.20", "1.99,1.30"))
	if !errors.Is(err, gauge.ErrRefused) || !strings.Contains(said(err), "are not written from here") || r.disk("chart.csv") != oldChart {
		t.Errorf("a changed table: %v", err)
	}
}
