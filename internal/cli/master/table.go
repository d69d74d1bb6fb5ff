package master

import (
	"slices"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/table"
)

// readingColumns are the columns of a table of check readings.
var readingColumns = append(
	table.Needed("master", "value", "reading"),
	table.Optional("check", "way", "state", "uncertainty", "k", "expansion", "unit")...,
)

// tableCheck is one check of a table.
type tableCheck struct {
	name        string
	unit        gauge.Unit // of its first line
	found, left []check.Point
}

func (c *tableCheck) titled() string {
	if c.name == "" {
		return "the check"
	}
	return "check " + c.name
}

// checkRows reads check readings.
type checkRows struct {
	unit    gauge.Unit // of lines without one
	meant   bool       // readings that are far off are
	checks  []*tableCheck
	masters map[string]check.Master // of the lines before
}

// readCheckReadings reads the checks of a table in the order of their first lines.
func readCheckReadings(name string, unit gauge.Unit, meant bool) ([]*tableCheck, error) {
	rows := &checkRows{unit: unit, meant: meant, masters: map[string]check.Master{}}
	err := app.ReadTable(name, table.Form{Columns: readingColumns}, rows.take)
	return rows.checks, err
}

// take takes a line into its check.
func (rows *checkRows) take(r *table.Row) {
	unit := app.LengthUnit(r, rows.unit)
	m := rows.master(r, unit)
	reading := app.Length(r, "reading", unit)
	if err := check.Believed(reading, m.Value); err != nil && r.OK() && !rows.meant {
		r.Wrong("reading", err)
	}
	falling, left := app.IsSecond(r, "way", "rising", "falling"), app.IsSecond(r, "state", "found", "left")
	if !r.OK() {
		return
	}
	name := r.Text("check")
	i := slices.IndexFunc(rows.checks, func(c *tableCheck) bool { return c.name == name })
	if i < 0 {
		i = len(rows.checks)
		rows.checks = append(rows.checks, &tableCheck{name: name, unit: unit})
	}
	points := &rows.checks[i].found
	if left {
		points = &rows.checks[i].left
	}
	at := slices.IndexFunc(*points, func(p check.Point) bool { return p.Master.ID == m.ID && p.Falling == falling })
	if at < 0 {
		at = len(*points)
		*points = append(*points, check.Point{Master: m, Falling: falling})
	}
	(*points)[at].Readings = append((*points)[at].Readings, reading)
}

// master is that of the line; all lines of one master must say the same of it.
func (rows *checkRows) master(r *table.Row, unit gauge.Unit) (m check.Master) {
	if m.ID = r.Text("master"); m.ID == "" {
		r.Say("master", "refusal.import.no-master")
	}
	m.Value = app.Length(r, "value", unit)
	if text := r.Text("uncertainty"); text != "" && unit.Known() {
		c := gauge.Expanded{Uncertainty: app.Length(r, "uncertainty", unit)}
		var err error
		if c.K, err = gauge.ParseLength(r.Number("k"), gauge.One); err != nil || c.K <= 0 {
			r.Say("uncertainty", "row.coverage-column", table.Quoted(r.Text("k")))
		}
		if c.Uncertainty <= 0 {
			r.Say("uncertainty", "row.uncertainty", table.Quoted(text))
		}
		m.Certified = &c
		if err := m.PlausibleCertificate(); err != nil && r.OK() {
			r.Wrong("uncertainty", err)
		}
	}
	if text := r.Text("expansion"); text != "" {
		x, err := gauge.ParseLength(r.Number("expansion"), gauge.One)
		if err != nil {
			r.Say("expansion", "row.expansion", table.Quoted(text))
		}
		m.Expansion = &gauge.Expansion{PerKelvin: x}
		if err := m.Expansion.Plausible(gauge.MostExpansion); err != nil && r.OK() {
			r.Wrong("expansion", err)
		}
	}
	before, known := rows.masters[m.ID]
	switch {
	case !r.OK():
	case known && !sameMaster(before, m):
		r.Say("master", "row.master-differs", gauge.Text("master", m.ID))
	default:
		rows.masters[m.ID] = m
	}
	return m
}

func sameMaster(a, b check.Master) bool {
	same := a.Value == b.Value && (a.Certified == nil) == (b.Certified == nil) && (a.Expansion == nil) == (b.Expansion == nil)
	return same && (a.Certified == nil || *a.Certified == *b.Certified) && (a.Expansion == nil || a.Expansion.PerKelvin == b.Expansion.PerKelvin)
}
