package lists

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"gauged/internal/job"
)

// Head is the first line of the table of jobs.
var Head = []string{"job", "unit_serial", "procedure", "title", "verdict", "technician", "started", "closed", "gauges", "people", "order", "customer", "labels"}

// Row is the line of a job. Labels with a title have columns of their own.
func Row(j *job.Job) []string {
	bound := job.GaugesOf(j.Gauges)
	delete(bound, "") // what is typed in
	gauges := slices.Sorted(maps.Keys(bound))
	var labels []string
	for _, name := range j.Labels.Names() {
		if !job.LabelTitled(name) {
			labels = append(labels, name+"="+j.Labels[name])
		}
	}
	return []string{
		strconv.FormatUint(j.ID, 10), j.UnitSerial, j.Procedure.ID, j.Procedure.Title, string(j.Evaluation.Outcome), j.Technician, Cell(j.Started), Cell(j.Closed),
		strings.Join(gauges, " "), strings.Join(j.People, "; "), j.Labels[job.LabelOrder], j.Labels[job.LabelCustomer], strings.Join(labels, "; "),
	}
}

// Cell writes a time into a table, in UTC; nothing for none.
func Cell(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}
