package app

import (
	"os"

	"gauged/internal/gauge"
	"gauged/internal/table"
)

// ReadTable reads the table of a file row by row. Everything that is wrong with it is
// one error.
func ReadTable(name string, form table.Form, row func(*table.Row)) error {
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	t := table.New(name, file, form)
	for r := range t.Rows() {
		row(r)
	}
	return t.Err()
}

// Length reads the cell of a column in a unit; in one that is not known it is not read.
func Length(r *table.Row, column string, unit gauge.Unit) (l gauge.Length) {
	if !unit.Known() {
		return l
	}
	return table.Parse(r, column, func(text string) (gauge.Length, error) { return gauge.ParseLength(text, unit) })
}

// LengthUnit is the unit of a row: that of its column, or the usual one.
func LengthUnit(r *table.Row, usual gauge.Unit) gauge.Unit {
	text := r.Text("unit")
	switch {
	case text == "" && usual.Known():
		return usual
	case text == "" && r.Has("unit"):
		r.Say("unit", "row.unit-missing")
		return usual
	case text == "":
		r.Say("unit", "row.which-unit")
		return usual
	}
	unit, err := gauge.ParseUnit(text, gauge.KindLength)
	if err != nil {
		r.Wrong("unit", err)
	}
	return unit
}

// IsSecond reports whether a cell has the second word; empty stands for the first.
func IsSecond(r *table.Row, column, first, second string) bool {
	text := r.Text(column)
	if text != "" && text != first && text != second {
		r.Say(column, "row.one-of-two", table.Quoted(text), gauge.Text("first", first), gauge.Text("second", second))
	}
	return text == second
}
