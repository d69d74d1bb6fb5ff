package evaluate

import (
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// surelyPassedOver is why a grade does not fit whose nominal thickness would do.
const surelyPassedOver = "it surely ends outside the limits"

// surely reports whether parts end outside what is allowed in any case: wherever they
// and the constants are within their stated tolerances, or with no probability worth
// a digit to end inside. Such parts do not fit, whatever their nominal thickness.
// worst and p are what is foretold of the play, each nil where it is not known.
func (w *fitting) surely(parts stacked, worst *Limits, p *Probability) bool {
	if worst != nil && w.fit.Allowed.apart(*worst) {
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

// apart reports whether two ranges have no value in common.
func (r Limits) apart(o Limits) bool {
	return r.Min != nil && o.Max != nil && *o.Max < *r.Min || r.Max != nil && o.Min != nil && *o.Min > *r.Max
}

// point reports whether no value but one is allowed, which nothing measured is
// probably just at.
func (r Limits) point() bool { return r.Min != nil && r.Max != nil && *r.Min == *r.Max }

// off is by how much parts may be thinner or thicker than the thickness that is
// stated, wherever they and the constants are within their tolerances.
func (w *fitting) off(parts stacked) (least, most gauge.Length) {
	wanted := w.worst(w.place.Thickness, w.p.Unit)
	if wanted == nil {
		wanted = &Limits{w.fit.Aim, w.fit.Aim}
	}
	thinnest, thickest := parts.ends()
	return thinnest - *wanted.Max, thickest - *wanted.Min
}

// surelyOutside points out parts that end outside in any case although their nominal
// thickness would do.
func (w *fitting) surelyOutside(parts stacked, worst *Limits, p *Probability) {
	if w.brief != nil || !w.surely(parts, worst, p) {
		return
	}
	said := Finding{FindingSurely, w.place.prefix() + w.surelyWords(parts, worst)}
	if !slices.Contains(w.e.Findings, said) {
		w.e.Findings = append(w.e.Findings, said)
	}
}

// surelyWords says where parts end that surely end outside.
func (w *fitting) surelyWords(parts stacked, worst *Limits) string {
	switch {
	case w.place.Thickness != nil:
		least, most := w.off(parts)
		return parts.name() + " is off the wanted thickness by " + w.p.show(min(least.Abs(), most.Abs())) + " to " + w.p.show(max(least.Abs(), most.Abs())) +
			" within what is stated of " + strings.Join(w.stated(w.place.Thickness, parts), ", ") + ", which is surely more than the allowed " + w.p.show(*w.place.Within)
	case worst != nil:
		return parts.name() + " surely ends outside the limits: within what is stated of " + strings.Join(w.stated(w.place.Gap, parts), ", ") + " it leaves " +
			w.place.playRange(w.p, *worst) + "; allowed is " + w.showAllowed()
	}
	return parts.name() + " surely ends outside the limits: the probability that it ends inside is " + Probability(0).String() + "; allowed is " + w.showAllowed()
}

// surelyPack reports whether a pack ends outside within what is stated of its pieces.
func (w *fitting) surelyPack(pieces stacked) bool {
	return slices.ContainsFunc(pieces, Grade.toleranced) && w.surely(pieces, w.left(pieces.ends()), nil)
}

// known reports whether the thickness of every part is known.
func (s stacked) known() bool {
	return !slices.ContainsFunc(s, func(g Grade) bool { return g.Thickness == nil })
}

// nominal is how thick the parts are together as they are stamped.
func (s stacked) nominal() (sum gauge.Length) {
	for _, g := range s {
		sum += *g.Thickness
	}
	return sum
}
