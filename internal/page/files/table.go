package files

import (
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/words"
)

// Table is a printed table.
type Table struct {
	Name, Title string
	Note        string   // how it is read
	Heads       []string // of the columns; empty for one key
	Rows        [][]string
}

// table makes a table of a procedure, or the chart of a family, readable.
func (v *viewer) table(t *formula.Table, rows [][]string) Table {
	view := Table{Name: t.Name, Title: t.Title, Rows: rows}
	if len(t.Keys) > 1 {
		view.Heads, view.Rows = rows[0], rows[1:]
	}
	keys := make([]string, len(t.Keys))
	for i, k := range t.Keys {
		keys[i] = k.Name
		if unit := words.Unit(k.Unit); unit != "" && !k.Marks {
			keys[i] += " (" + unit + ")"
		}
	}
	view.Note = v.say("proc.table."+words.Key(t.Mode), strings.Join(keys, ", "))
	return view
}
