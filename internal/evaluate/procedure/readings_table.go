package procedure

import (
	"bytes"
	"errors"
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/table"
)

// readingColumns are the columns of a file of readings.
var readingColumns = append(table.Needed("measurement", "value", "unit"), table.Optional("gauge", "discarded")...)

// ReadReadings reads a CSV table of readings for the procedure (package table says how
// one is written): a row for each reading in the order in which they were taken. name is
// used in problems only, all of which are in the error.
func ReadReadings(name string, content []byte, p *Procedure) ([]Reading, error) {
	t := table.New(name, bytes.NewReader(content), table.Form{Columns: readingColumns})
	var readings []Reading
	for row := range t.Rows() {
		readings = append(readings, p.reading(row))
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	return readings, nil
}

// reading reads a row as if it were typed in. A mark, and a value that cannot be read,
// need no unit.
func (p *Procedure) reading(row *table.Row) Reading {
	name := row.Text("measurement")
	s, _, ok := p.Step(name)
	if !ok {
		row.Wrong("measurement", p.noMeasurement(name))
		return Reading{}
	}
	bare := len(s.Codes) > 0
	shown := row.Text("value")
	if !bare {
		shown = row.Number("value")
		bare = shown == Unreadable && s.Unreadable != nil
	}
	var unit gauge.Unit
	var err error
	if text := row.Text("unit"); text != "" {
		unit, err = gauge.ParseUnit(text)
	} else if !bare {
		err = fmt.Errorf("%s: %w", name, gauge.MissingUnit(shown, s.Unit))
	}
	if err != nil {
		row.Wrong("unit", err)
		return Reading{}
	}
	r, err := p.Typed(name, shown, unit)
	var wrong *UnitError
	switch {
	case errors.As(err, &wrong):
		row.Wrong("unit", err)
	case err != nil:
		row.Wrong("value", err)
	}
	r.Gauge, r.Discarded = row.Text("gauge"), row.Text("discarded")
	return r
}
