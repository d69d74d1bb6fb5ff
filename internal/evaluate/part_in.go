package evaluate

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// partIn is the part of a place as it counts in sums.
type partIn struct {
	place     string
	thickness *big.Rat // as measured, else the middle of what is stated, added up
	pieces    stacked  // of what is only stated; none for a part that was measured or made to size
	called    []string // each of them, among what may be off
	with      string   // the instrument with which it was measured
}

// partIn is the part that was fitted at a place, else the recommended one; nil for none.
func (w *work) partIn(f *Fit) *partIn {
	place, _ := w.p.PlaceNamed(f.Place)
	var pieces stacked
	switch {
	case f.Fitted != nil && f.Fitted.Thickness == nil:
		return nil
	case f.Fitted != nil && f.Fitted.Measured:
		return &partIn{place: f.Place, thickness: formula.Exact(*f.Fitted.Thickness, w.p.Unit), with: place.Choose.MeasuredWith}
	case f.Fitted != nil:
		var unknown []string
		if family := w.stock[place.Parts]; family != nil {
			pieces, unknown = family.PiecesOf(f.Fitted.Part)
		}
		if len(pieces) == 0 || len(unknown) > 0 || !procedure.AllKnown(pieces) {
			return &partIn{place: f.Place, thickness: formula.Exact(*f.Fitted.Thickness, w.p.Unit)}
		}
	case f.Choice != nil || f.Pack != nil:
		if pieces = f.pieces(); !procedure.AllKnown(pieces) {
			return nil
		}
	case len(f.Candidates) == 0 && f.PackThinner == nil && f.PackThicker == nil && f.Aim != nil:
		return &partIn{place: f.Place, thickness: formula.Exact(*f.Aim, w.p.Unit)} // made to size
	default:
		return nil
	}
	in := &partIn{place: f.Place, thickness: new(big.Rat), pieces: pieces}
	for i, g := range pieces {
		middle, _ := g.Stated()
		in.thickness.Add(in.thickness, middle)
		name := procedure.Prefixed(f.Place) + g.Part
		if len(pieces) > 1 {
			name += ", piece " + strconv.Itoa(i+1)
		}
		in.called = append(in.called, name)
	}
	return in
}

// partsNamed are the parts that a name in a formula stands for; none for any other name.
func (w *work) partsNamed(name string) (all []*partIn) {
	for _, f := range w.e.EachFit() {
		if name != formula.PartName(f.Place) && name != formula.FittedName(f.Place) && name != formula.NameParts {
			continue
		}
		if in := w.partIn(f); in != nil {
			all = append(all, in)
		}
	}
	return all
}

// eachStated goes through the pieces of which a tolerance is stated.
func (in *partIn) eachStated(do func(called string, half *big.Rat)) {
	for i, g := range in.pieces {
		if _, half := g.Stated(); half.Sign() > 0 {
			do(in.called[i], half)
		}
	}
}

// count lets formulas use a part by a name. Where it counts otherwise than as it is
// stamped, and a formula uses it, that is a line of the sums.
func (w *work) count(name string, in *partIn) {
	w.v.Of[name] = in.thickness
	used := func(x *formula.Expression) bool {
		return slices.Contains(x.Names(), name) || name != formula.FittedName(in.place) && slices.Contains(x.Names(), formula.NameParts)
	}
	if !slices.ContainsFunc(in.pieces, procedure.Grade.OneSided) || !slices.ContainsFunc(w.p.EveryFormula(), used) {
		return
	}
	value, err := formula.InUnit(in.thickness, w.p.Unit)
	if err != nil {
		return // whatever uses it says so
	}
	line := Sum{Name: name, Value: value, Unit: w.p.Unit}
	if w.brief == nil {
		low, high := in.pieces.ends()
		line.Expression = fmt.Sprintf("the middle of what is stated of %s", in.pieces.name())
		line.Worked = fmt.Sprintf("(%s + %s)/2", w.p.Text(low), w.p.Text(high))
	}
	w.e.Sums = append(w.e.Sums, line)
}
