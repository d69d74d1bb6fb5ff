package evaluate

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// partIn is the part that was fitted at a place, else the recommended one; nil for none.
func (w *work) partIn(f *Fit) *compute.Part {
	place, _ := w.P.PlaceNamed(f.Place)
	var pieces compute.Pieces
	switch {
	case f.Fitted != nil && f.Fitted.Thickness == nil:
		return nil
	case f.Fitted != nil && f.Fitted.Measured:
		return &compute.Part{Place: f.Place, Thickness: formula.Exact(*f.Fitted.Thickness, w.P.Unit), With: place.Choose.MeasuredWith}
	case f.Fitted != nil:
		var unknown []string
		if family := w.stock[place.Parts]; family != nil {
			pieces, unknown = family.PiecesOf(f.Fitted.Part)
		}
		if len(pieces) == 0 || len(unknown) > 0 || !procedure.AllKnown(pieces) {
			return &compute.Part{Place: f.Place, Thickness: formula.Exact(*f.Fitted.Thickness, w.P.Unit)}
		}
	case f.Choice != nil || f.Pack != nil:
		if pieces = f.pieces(); !procedure.AllKnown(pieces) {
			return nil
		}
	case len(f.Candidates) == 0 && f.PackThinner == nil && f.PackThicker == nil && f.Aim != nil:
		return &compute.Part{Place: f.Place, Thickness: formula.Exact(*f.Aim, w.P.Unit)} // made to size
	default:
		return nil
	}
	in := &compute.Part{Place: f.Place, Thickness: new(big.Rat), Pieces: pieces}
	for i, g := range pieces {
		middle, _ := g.Stated()
		in.Thickness.Add(in.Thickness, middle)
		name := procedure.Prefixed(f.Place) + g.Part
		if len(pieces) > 1 {
			name += ", piece " + strconv.Itoa(i+1)
		}
		in.Called = append(in.Called, name)
	}
	return in
}

// partsNamed are the parts that a name in a formula stands for; none for any other name.
func (w *work) partsNamed(name string) (all []compute.Part) {
	for _, f := range w.e.EachFit() {
		if name != formula.PartName(f.Place) && name != formula.FittedName(f.Place) && name != formula.NameParts {
			continue
		}
		if in := w.partIn(f); in != nil {
			all = append(all, *in)
		}
	}
	return all
}

// count lets formulas use a part by a name. Where it counts otherwise than as it is
// stamped, and a formula uses it, that is a line of the sums.
func (w *work) count(name string, in *compute.Part) {
	w.V.Of[name] = in.Thickness
	used := func(x *formula.Expression) bool {
		return slices.Contains(x.Names(), name) || name != formula.FittedName(in.Place) && slices.Contains(x.Names(), formula.NameParts)
	}
	if !slices.ContainsFunc(in.Pieces, procedure.Grade.OneSided) || !slices.ContainsFunc(w.P.EveryFormula(), used) {
		return
	}
	value, err := formula.InUnit(in.Thickness, w.P.Unit)
	if err != nil {
		return // whatever uses it says so
	}
	line := Sum{Name: name, Value: value, Unit: w.P.Unit}
	if w.brief == nil {
		low, high := in.Pieces.Ends()
		line.Expression = doubt.MiddleOf + in.Pieces.Name()
		line.Worked = fmt.Sprintf("(%s + %s)/2", w.P.Text(low), w.P.Text(high))
	}
	w.e.Sums = append(w.e.Sums, line)
}
