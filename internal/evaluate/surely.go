package evaluate

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// surelyPassedOver is why a grade does not fit whose nominal thickness would do.
var surelyPassedOver = gauge.Say("passed.surely_outside")

// surely reports whether parts end outside what is allowed in any case: wherever they
// and the constants are within their stated tolerances, or with no probability worth
// a digit to end inside. Such parts do not fit, whatever their nominal thickness.
// worst and p are what is foretold of the play, each nil where it is not known.
func (w *fitting) surely(parts compute.Pieces, worst *procedure.Limits, p *Probability) bool {
	if worst != nil && w.fit.Allowed.Apart(*worst) {
		return true
	}
	if p != nil && *p == 0 {
		return true
	}
	within := w.place.Within
	if w.place.Thickness == nil || within == nil {
		return false
	}
	least, most := w.off(parts)
	return least > *within || most < -*within
}

// off is by how much parts may be thinner or thicker than the thickness that is
// stated, wherever they and the constants are within their tolerances.
func (w *fitting) off(parts compute.Pieces) (least, most gauge.Length) {
	wanted := w.Worst(w.place.Thickness, w.P.Unit)
	if wanted == nil {
		wanted = &procedure.Limits{Min: w.fit.Aim, Max: w.fit.Aim}
	}
	thinnest, thickest := parts.Ends()
	return thinnest - *wanted.Max, thickest - *wanted.Min
}

// surelyOutside points out parts that end outside in any case although their nominal
// thickness would do.
func (w *fitting) surelyOutside(parts compute.Pieces, worst *procedure.Limits, p *Probability) {
	if w.brief != nil || !w.surely(parts, worst, p) {
		return
	}
	said := Finding{FindingSurely, w.atPlace(w.saysSurely(parts, worst))}
	if !slices.ContainsFunc(w.e.Findings, said.Equal) {
		w.e.Findings = append(w.e.Findings, said)
	}
}

// saysSurely says where parts end that surely end outside.
func (w *fitting) saysSurely(parts compute.Pieces, worst *procedure.Limits) gauge.Message {
	part := gauge.Text("part", parts.Name())
	switch {
	case w.place.Thickness != nil:
		least, most := w.off(parts)
		return gauge.Say("found.surely_off", part, w.P.Tell("least", min(least.Abs(), most.Abs())), w.P.Tell("most", max(least.Abs(), most.Abs())),
			gauge.Texts("stated", w.stated(w.place.Thickness, parts)), w.P.Tell("allowed", *w.place.Within))
	case worst != nil:
		return gauge.Say("found.surely_outside", append(w.tellBeside(nil, nil, worst), part, gauge.Texts("stated", w.stated(w.place.Gap, parts)))...)
	}
	return gauge.Say("found.surely_outside_by_chance", part, procedure.Chance("probability", 0), w.tellAllowed())
}

// surelyPack reports whether a pack ends outside within what is stated of its pieces.
func (w *fitting) surelyPack(pieces compute.Pieces) bool {
	return slices.ContainsFunc(pieces, procedure.Grade.Toleranced) && w.surely(pieces, w.left(pieces.Ends()), nil)
}
