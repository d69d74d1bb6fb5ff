package files

import (
	"strconv"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/words"
)

// Family is a part family in the words of a person.
type Family struct {
	*procedure.Family
	Marked, Thick, Tolerated, Served bool // which columns there are
	Rows                             []Grade
	Codes                            []procedure.CodeRow
	Chart                            *Table
	Users                            []*procedure.Procedure
	Remarks                          []string
	Holds                            []string
}

// Grade is one grade.
type Grade struct {
	procedure.Grade
	Thickness, Tolerance, Serves, Stock string
	Out                                 bool
}

// mostCodeRows bounds the shown rows of a table by marks.
const mostCodeRows = 500

// ViewFamily makes a part family readable; users are the procedures that choose from it.
func ViewFamily(w words.Words, f *procedure.Family, users []*procedure.Procedure) (*Family, error) {
	v := viewer{words: w, p: &procedure.Procedure{Unit: f.Unit, Decimals: f.Decimals()}}
	view := &Family{Family: f, Users: users}
	for _, g := range f.Grades {
		row := Grade{Grade: g, Serves: v.ends(procedure.Bounds{Limits: g.Serves}, f.Unit)}
		if g.Thickness != nil {
			row.Thickness = v.length(*g.Thickness, f.Unit)
		}
		if g.Tolerance != nil {
			row.Tolerance = "± " + v.length(*g.Tolerance, f.Unit)
		}
		if g.Plus != nil {
			row.Tolerance = "+ " + v.length(*g.Plus, f.Unit) + " − " + v.length(*g.Minus, f.Unit)
		}
		switch {
		case g.Stock == nil:
			row.Stock = v.say("parts.uncounted")
		case *g.Stock == 0:
			row.Stock, row.Out = v.say("sheet.note.out"), true
		default:
			row.Stock = strconv.Itoa(*g.Stock)
		}
		view.Marked = view.Marked || g.Mark != ""
		view.Thick, view.Tolerated, view.Served = view.Thick || g.Thickness != nil, view.Tolerated || row.Tolerance != "", view.Served || g.Serves.Limited()
		view.Rows = append(view.Rows, row)
	}
	view.Codes = f.CodeTable()
	view.Codes = view.Codes[:min(len(view.Codes), mostCodeRows)]
	if f.Chart != nil {
		chart := v.table(f.Chart, f.ChartTable())
		view.Chart = &chart
	}
	if f.RowStep != 0 {
		view.Remarks = append(view.Remarks, v.say("parts.step", v.length(f.RowStep, f.Unit)))
	}
	view.Holds = []string{v.say("parts.holds.order"), v.say("parts.holds.unique"), v.say("parts.holds.units")}
	if view.Served {
		view.Holds = append(view.Holds, v.say("parts.holds.rows"))
	}
	if len(users) > 0 {
		view.Holds = append(view.Holds, v.say("parts.holds.users"))
	}
	return view, v.err
}
