package evaluate

import (
	"math/big"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// fromChart takes the grade that the chart gives for what was measured.
func (w *fitting) fromChart() error {
	n := w.family.LookUpChart()
	cell, err := n.Compute(&w.V)
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
	if others := w.otherCells(cell, open); len(others) > 0 {
		w.outcome = Undecided
		w.tell(FindingInterval, "found.chart_open", asked, gauge.Text("part", w.cellName(cell)), gauge.Texts("others", others))
		return nil
	}
	if cell.Sign() < 0 {
		w.outcome = NothingFits
		w.tell(FindingForbidden, "found.chart_forbids", asked)
		return nil
	}
	w.taken(asked, gauge.Say("why.chart", asked))
	w.fit.Thinner, w.fit.Thicker = nil, nil
	if w.brief != nil {
		return nil
	}
	if others := w.otherCells(cell, w.doubts.Reach(n)); len(others) > 0 {
		w.tell(FindingNearStep, "found.chart_near", asked, gauge.Texts("others", others))
	}
	return nil
}

// askedOf writes what a chart is looked up by.
func (w *fitting) askedOf(n *formula.Node) gauge.Arg {
	var said []gauge.Arg
	for i, k := range n.Table.Keys {
		value := gauge.Text("value", w.V.Marks[k.Name])
		if !k.Marks {
			value = gauge.Shown("value", k.Show(w.V.Of[n.Args[i].Name]), gauge.UnitUnknown)
		}
		said = append(said, gauge.Nested("", gauge.Say("asked.value", gauge.Text("name", k.Name), value)))
	}
	return gauge.List("asked", said...)
}

// openCells lists the cells between the ends of what a feeler leaves open.
func (w *fitting) openCells(n *formula.Node) ([]*big.Rat, error) {
	if len(w.Open) == 0 {
		return nil, nil
	}
	lows, highs := make([]*big.Rat, len(n.Args)), make([]*big.Rat, len(n.Args))
	for i, k := range n.Table.Keys {
		if k.Marks {
			continue
		}
		ends, err := w.Ends(n.Args[i])
		if err != nil {
			return nil, err
		}
		lows[i], highs[i] = ends.Low, ends.High
	}
	if _, err := n.Span(lows, highs, &w.V); err != nil {
		return nil, err
	}
	return n.Reach(lows, highs, &w.V), nil
}

// otherCells names the cells that are not the one that was taken.
func (w *fitting) otherCells(cell *big.Rat, all []*big.Rat) (names []string) {
	for _, other := range all {
		if name := w.cellName(other); other.Cmp(cell) != 0 && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

func (w *fitting) cellName(cell *big.Rat) string {
	if cell.Sign() < 0 {
		return procedure.Forbidden
	}
	return w.family.Grades[cell.Num().Int64()].Part
}
