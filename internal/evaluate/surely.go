package evaluate

import (
	"slices"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// surelyPassedOver is why a grade does not fit whose nominal thickness would do.
var surelyPassedOver = gauge.Plain("it surely ends outside the limits")

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
	said := Finding{FindingSurely, gauge.Plain(w.place.Prefix() + w.surelyWords(parts, worst))}
	if !slices.ContainsFunc(w.e.Findings, said.Equal) {
		w.e.Findings = append(w.e.Findings, said)
	}
}

// surelyWords says where parts end that surely end outside.
func (w *fitting) surelyWords(parts compute.Pieces, worst *procedure.Limits) string {
	switch {
	case w.place.Thickness != nil:
		least, most := w.off(parts)
		return parts.Name() + " is off the wanted thickness by " + w.P.Show(min(least.Abs(), most.Abs())) + " to " + w.P.Show(max(least.Abs(), most.Abs())) +
			" within what is stated of " + strings.Join(w.stated(w.place.Thickness, parts), ", ") + ", which is surely more than the allowed " + w.P.Show(*w.place.Within)
	case worst != nil:
		return parts.Name() + " surely ends outside the limits: within what is stated of " + strings.Join(w.stated(w.place.Gap, parts), ", ") + " it leaves " +
			w.place.PlayRange(w.P, *worst) + "; allowed is " + w.showAllowed()
	}
	return parts.Name() + " surely ends outside the limits: the probability that it ends inside is " + Probability(0).String() + "; allowed is " + w.showAllowed()
}

// surelyPack reports whether a pack ends outside within what is stated of its pieces.
func (w *fitting) surelyPack(pieces compute.Pieces) bool {
	return slices.ContainsFunc(pieces, procedure.Grade.Toleranced) && w.surely(pieces, w.left(pieces.Ends()), nil)
}
