package procedure

import (
	"math/big"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// forbiddenCell stands in a chart for keys that must not come together; other
// cells are the index of a grade.
var forbiddenCell = big.NewRat(-1, 1)

// chart reads a chart that gives the part by one or two measurements directly.
func (r *familyReader) chart(v shopfile.Value) {
	if !v.Given() {
		return
	}
	m := v.Map()
	t := &formula.Table{Name: r.f.ID, Mode: formula.TableRow}
	if mode := m.Get("mode"); mode.Given() {
		t.Mode = formula.TableMode(mode.OneOf(string(formula.TableExact), string(formula.TableRow)))
	}
	t.Read(m, func(v shopfile.Value) *big.Rat {
		part := v.Text()
		i := r.gradeOf(part)
		switch {
		case part == Forbidden:
			return forbiddenCell
		case i < 0:
			v.Wrong(gauge.Say("entry.chart-part", shopfile.Quoted("part", part), gauge.Text("none", Forbidden), gauge.Text("empty", formula.Unprinted)))
			return nil
		}
		return new(big.Rat).SetInt64(int64(i))
	})
	m.Done()
	r.f.Chart = t
}

// gradeOf is the index of the grade with a part number; -1: there is none.
func (r *familyReader) gradeOf(part string) int {
	return slices.IndexFunc(r.f.Grades, func(g Grade) bool { return g.Part == part })
}

// suitsChart reports why the procedure cannot look the chart up.
func (p *Procedure) suitsChart(f *Family) error {
	if f.Chart == nil {
		return gauge.WrongInput("suits.no-chart", gauge.Text("family", f.ID))
	}
	for i, k := range f.Chart.Keys {
		s, after, step := p.Step(k.Name)
		known := step && !after ||
			slices.ContainsFunc(p.Values, func(n Named) bool { return n.Name == k.Name }) ||
			slices.ContainsFunc(p.Constants, func(c Constant) bool { return c.Name == k.Name })
		switch {
		case !known:
			return gauge.WrongInput("suits.chart-key", gauge.Text("key", k.Name), gauge.Text("family", f.ID))
		case k.Marks && len(s.Codes) == 0:
			return gauge.WrongInput("suits.chart-marks", gauge.Text("key", k.Name), gauge.Text("family", f.ID))
		case k.Marks:
			for _, c := range s.Codes {
				if !slices.Contains(f.Chart.Keys[i].Texts, c.Mark) {
					return gauge.WrongInput("suits.chart-row", gauge.Text("family", f.ID), gauge.Text("key", k.Name), gauge.Text("mark", c.Mark))
				}
			}
		case formula.DimensionOf(p.Units[k.Name]) != k.Of():
			return gauge.WrongInput("suits.chart-unit", gauge.Text("key", k.Name), gauge.Word("is", formula.DimensionOf(p.Units[k.Name]).Word()), gauge.Text("family", f.ID), gauge.Word("wanted", k.Of().Word()))
		}
	}
	return nil
}

// LookUpChart is the formula that looks the chart up.
func (f *Family) LookUpChart() *formula.Node {
	n := &formula.Node{Op: formula.OpCall, Name: f.Chart.Name, Table: f.Chart}
	for _, k := range f.Chart.Keys {
		n.Args = append(n.Args, &formula.Node{Op: formula.OpName, Name: k.Name})
	}
	return n
}

// ChartTable is the chart of a family as it is printed, row by row; nil when it
// has none. The first row has the heads of the columns where there are two keys.
func (f *Family) ChartTable() [][]string {
	if f.Chart == nil {
		return nil
	}
	return f.Chart.Printed(func(cell *big.Rat) string {
		if cell.Sign() < 0 {
			return Forbidden
		}
		return f.Grades[cell.Num().Int64()].Part
	})
}
