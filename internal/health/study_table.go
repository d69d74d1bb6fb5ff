package health

import (
	"cmp"
	"slices"

	"gauged/internal/health/study"
)

// studyColumns are the columns of the table of a study; those that are empty in
// every row are left out.
var studyColumns = []struct {
	name string
	of   func(StudyReading) string
}{
	{"value", func(r StudyReading) string { return r.Value }},
	{"part", func(r StudyReading) string { return cmp.Or(r.Part, r.Master) }},
	{"appraiser", func(r StudyReading) string { return r.Person }},
	{"trial", func(r StudyReading) string { return r.Trial }},
	{"group", func(r StudyReading) string { return r.Group }},
	{"day", func(r StudyReading) string { return r.Day }},
	{"run", func(r StudyReading) string { return r.Run }},
	{"time", func(r StudyReading) string { return r.Time }},
	{"reference", func(r StudyReading) string { return r.Known }},
}

// StudyTable is the table that a study is made of.
func StudyTable(gaugeID string, readings []StudyReading) (*study.Table, error) {
	var names []string
	rows := make([][]string, len(readings))
	for _, c := range studyColumns {
		if !slices.ContainsFunc(readings, func(r StudyReading) bool { return c.of(r) != "" }) {
			continue
		}
		names = append(names, c.name)
		for i, r := range readings {
			rows[i] = append(rows[i], c.of(r))
		}
	}
	return study.NewTable(gaugeID, names, rows)
}
