package evaluate

import (
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
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
	if others := w.otherCells(cell, w.doubts.Reach(n)); others != "" {
		w.find(FindingNearStep, "%s: within the uncertainty of what was measured the chart gives %s too: read more often, or measure with a better gauge", asked, others)
	}
	return nil
}

// askedOf writes what a chart is looked up by.
func (w *fitting) askedOf(n *formula.Node) string {
	var said []string
	for i, k := range n.Table.Keys {
		text := w.V.Marks[k.Name]
		if !k.Marks {
			text = k.Show(w.V.Of[n.Args[i].Name])
		}
		said = append(said, k.Name+" "+text)
	}
	return strings.Join(said, ", ")
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
		return procedure.Forbidden
	}
	return w.family.Grades[cell.Num().Int64()].Part
}
