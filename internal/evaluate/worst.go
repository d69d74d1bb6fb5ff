package evaluate

import (
	"maps"
	"math/big"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// toleranced lists the constants with a stated tolerance that a formula needs in
// the present case, in the order of the procedure, and the parts that are in.
func (w *work) toleranced(x *formula.Expression) []string {
	names := map[string]bool{}
	w.reached(x, names)
	var list []string
	for _, c := range w.p.Constants {
		if names[c.Name] && c.Doubt.Tolerance != nil {
			list = append(list, c.Name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		for _, in := range w.partsNamed(name) {
			in.eachStated(func(called string, _ *big.Rat) {
				if !slices.Contains(list, called) {
					list = append(list, called)
				}
			})
		}
	}
	return list
}

// worst is between which ends a formula lies, wherever its constants are within
// their stated tolerances, and its measurements within what a feeler leaves open;
// nil where no constant has a tolerance, or where it cannot be told.
func (w *work) worst(x *formula.Expression, u gauge.Unit) *procedure.Limits {
	if len(w.toleranced(x)) == 0 {
		return nil
	}
	s := spreads{w: w, of: map[string]spread{}}
	result, err := s.node(x.Root)
	if err != nil {
		return nil
	}
	ends := result.open()
	least, err := formula.InUnit(ends.Low, u)
	if err != nil {
		return nil
	}
	most, err := formula.InUnit(ends.High, u)
	if err != nil {
		return nil
	}
	return &procedure.Limits{Min: &least, Max: &most}
}

// around is the worst case of a gap, or what is known of it where nothing that
// makes it has a tolerance.
func (w *fitting) around() procedure.Limits {
	switch {
	case w.fit.Worst != nil:
		return *w.fit.Worst
	case w.fit.Between != nil:
		return *w.fit.Between
	}
	return procedure.Limits{Min: w.fit.Gap, Max: w.fit.Gap}
}

// left is between which ends the play lies that parts leave, wherever they and the
// constants are within their stated tolerances; nil where none is stated.
func (w *fitting) left(thinnest, thickest gauge.Length) *procedure.Limits {
	if w.fit.Gap == nil || w.fit.Worst == nil && thinnest == thickest {
		return nil
	}
	gap := w.around()
	least, most := *gap.Min-thickest, *gap.Max-thinnest
	return &procedure.Limits{Min: &least, Max: &most}
}
