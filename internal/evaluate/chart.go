package evaluate

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
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
	t := &formula.Table{Name: "of " + r.f.ID, Mode: formula.TableRow}
	if mode := m.Get("mode"); mode.Given() {
		t.Mode = formula.TableMode(mode.OneOf(string(formula.TableExact), string(formula.TableRow)))
	}
	t.Read(m, func(v shopfile.Value) *big.Rat {
		part := v.Text()
		i := slices.IndexFunc(r.f.Grades, func(g Grade) bool { return g.Part == part })
		switch {
		case part == forbidden:
			return forbiddenCell
		case i < 0:
			v.Problemf("there is no part %q among the grades; write %s for what must not come together, and %s where nothing is printed", part, forbidden, formula.Unprinted)
			return nil
		}
		return new(big.Rat).SetInt64(int64(i))
	})
	m.Done()
	r.f.Chart = t
}

// suitsChart reports why the procedure cannot look the chart up.
func (p *Procedure) suitsChart(f *Family) error {
	if f.Chart == nil {
		return fmt.Errorf("chooses by chart, but family %s has none", f.ID)
	}
	for i, k := range f.Chart.Keys {
		s, after, step := p.Step(k.Name)
		known := step && !after ||
			slices.ContainsFunc(p.Values, func(n Named) bool { return n.Name == k.Name }) ||
			slices.ContainsFunc(p.Constants, func(c Constant) bool { return c.Name == k.Name })
		switch {
		case !known:
			return fmt.Errorf("chooses by chart, but has no measurement or value %q, by which family %s looks up", k.Name, f.ID)
		case k.Marks && len(s.Codes) == 0:
			return fmt.Errorf("chooses by chart, but %s reads no marks, by which family %s looks up", k.Name, f.ID)
		case k.Marks:
			for _, c := range s.Codes {
				if !slices.Contains(f.Chart.Keys[i].Texts, c.Mark) {
					return fmt.Errorf("chooses by chart, but family %s has no row for %s %s", f.ID, k.Name, c.Mark)
				}
			}
		case formula.DimensionOf(p.units[k.Name]) != k.Of():
			return fmt.Errorf("chooses by chart, but %s is %v, and family %s looks it up as %v", k.Name, formula.DimensionOf(p.units[k.Name]), f.ID, k.Of())
		}
	}
	return nil
}

// lookUpChart is the formula that looks the chart up.
func (f *Family) lookUpChart() *formula.Node {
	n := &formula.Node{Op: formula.OpCall, Name: "the chart " + f.Chart.Name, Table: f.Chart}
	for _, k := range f.Chart.Keys {
		n.Args = append(n.Args, &formula.Node{Op: formula.OpName, Name: k.Name})
	}
	return n
}

// fromChart takes the grade that the chart gives for what was measured.
func (w *fitting) fromChart() error {
	n := w.family.lookUpChart()
	cell, err := n.Compute(&w.v)
	if err != nil {
		return err
	}
	asked := w.askedOf(n)
	for i, g := range w.family.Grades {
		w.fit.Candidates = append(w.fit.Candidates, Candidate{Grade: g, Fits: cell.Cmp(big.NewRat(int64(i), 1)) == 0})
	}
	open, err := w.openCells(n)
	if err != nil {
		return err
	}
	if others := w.otherCells(cell, open); others != "" {
		w.outcome = Undecided
		w.find(FindingInterval, "%s: between the ends of what was measured the chart gives %s and %s: try the blades between, or measure with an indicator", asked, w.cellName(cell), others)
		return nil
	}
	if cell.Sign() < 0 {
		w.outcome = NothingFits
		w.find(FindingForbidden, "the chart forbids %s together: measure again, then exchange one of the parts", asked)
		return nil
	}
	w.taken(asked, "the chart gives it for "+asked)
	w.fit.Thinner, w.fit.Thicker = nil, nil
	if w.brief != nil {
		return nil
	}
	if others := w.otherCells(cell, newSlopes(w.work).reachOf(n)); others != "" {
		w.find(FindingNearStep, "%s: within the uncertainty of what was measured the chart gives %s too: read more often, or measure with a better gauge", asked, others)
	}
	return nil
}

// askedOf writes what a chart is looked up by.
func (w *fitting) askedOf(n *formula.Node) string {
	var said []string
	for i, k := range n.Table.Keys {
		text := w.marks[k.Name]
		if !k.Marks {
			text = k.Show(w.v.Of[n.Args[i].Name])
		}
		said = append(said, k.Name+" "+text)
	}
	return strings.Join(said, ", ")
}

// openCells lists the cells between the ends of what a feeler leaves open.
func (w *fitting) openCells(n *formula.Node) ([]*big.Rat, error) {
	if len(w.open) == 0 {
		return nil, nil
	}
	e := &ender{w.work, map[string]formula.Interval{}}
	lows, highs := make([]*big.Rat, len(n.Args)), make([]*big.Rat, len(n.Args))
	for i, k := range n.Table.Keys {
		if k.Marks {
			continue
		}
		ends, err := e.ends(n.Args[i])
		if err != nil {
			return nil, err
		}
		lows[i], highs[i] = ends.Low, ends.High
	}
	if _, err := n.Span(lows, highs, &w.v); err != nil {
		return nil, err
	}
	return n.Reach(lows, highs, &w.v), nil
}

// otherCells names the cells that are not the one that was taken.
func (w *fitting) otherCells(cell *big.Rat, all []*big.Rat) string {
	var names []string
	for _, other := range all {
		if name := w.cellName(other); other.Cmp(cell) != 0 && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}

func (w *fitting) cellName(cell *big.Rat) string {
	if cell.Sign() < 0 {
		return forbidden
	}
	return w.family.Grades[cell.Num().Int64()].Part
}

// ChartTable is the chart of a family as it is printed, row by row; nil when it
// has none. The first row has the heads of the columns where there are two keys.
func (f *Family) ChartTable() [][]string {
	if f.Chart == nil {
		return nil
	}
	return f.Chart.Printed(func(cell *big.Rat) string {
		if cell.Sign() < 0 {
			return forbidden
		}
		return f.Grades[cell.Num().Int64()].Part
	})
}
