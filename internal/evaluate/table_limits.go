package evaluate

import (
	"math/big"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// tableCandidate is a grade of a table with the play that it would give. What a
// table is looked up by is a gap only where the procedure limits the play that
// is left of it: it may be the play with another part in, or a number.
func (w *fitting) tableCandidate(g procedure.Grade) Candidate {
	c := Candidate{Grade: g}
	if g.Thickness == nil || !w.gapIsLeft() {
		return c
	}
	c.Play = w.playWith(*g.Thickness)
	c.Worst, c.Probability = w.foretold(compute.Pieces{g}, *c.Play)
	return c
}

// gapIsLeft reports whether the play that a part leaves is the gap less the part.
func (w *fitting) gapIsLeft() bool {
	return w.fit.Gap != nil && !w.place.NoGap && (w.place.Choose.Aim != procedure.AimTable || w.fit.Allowed.Limited() && w.gapUnit().Kind() == gauge.KindLength)
}

// notAllowed is why a part is passed over that the table gives.
var notAllowed = gauge.Say("passed.not_allowed")

// againstLimits judges a part that the table gives by the play that the procedure
// allows: a part that leaves another play does not fit, whatever the table says. One
// of the two is wrong, or the gap is at the border of a row.
func (w *fitting) againstLimits(c *Candidate) {
	switch {
	case !c.Fits || c.Play == nil:
	case !w.fit.Allowed.Contains(*c.Play):
		c.Fits, c.PassedOver = false, notAllowed
	case w.surely(compute.Pieces{c.Grade}, c.Worst, c.Probability):
		c.Fits, c.PassedOver = false, surelyPassedOver
	}
}

// contradicted reports whether no part that the table gives leaves an allowed play, and
// points that out.
func (w *fitting) contradicted() bool {
	for _, c := range w.fit.Candidates {
		if c.Fits {
			return false
		}
	}
	w.outcome = NothingFits
	for _, c := range w.fit.Candidates {
		switch {
		case c.PassedOver.Equal(notAllowed):
			w.tell(FindingNothingFits, "found.table_against_limits", append(w.tellBeside(c.Play, nil, nil), w.P.TellGrade("grade", c.Grade), w.P.TellIn("gap", *w.fit.Gap, w.gapUnit()))...)
		case c.PassedOver.Equal(surelyPassedOver):
			w.surelyOutside(compute.Pieces{c.Grade}, c.Worst, c.Probability)
		}
	}
	return true
}

// nearRow points out a gap that may belong to another row within its
// uncertainty, twice its standard uncertainty as for every other table.
func (w *fitting) nearRow(chosen int) {
	if w.brief != nil {
		return
	}
	span, ok := gauge.Length(0), false
	if u := w.doubts.StandardOf(w.place.Gap.Root); u > 0 {
		if r := new(big.Rat).SetFloat64(2 * u); r != nil {
			l, err := formula.InUnit(r, w.gapUnit())
			span, ok = l, err == nil
		}
	}
	if !ok {
		return
	}
	for _, end := range []gauge.Length{*w.fit.Gap - span, *w.fit.Gap + span} {
		row := w.row(end)
		if row >= 0 && w.alike(row, chosen) {
			continue
		}
		args := []gauge.Arg{w.P.TellIn("span", span, w.gapUnit())}
		if row >= 0 {
			args = append(args, w.P.TellGrade("grade", w.family.Grades[row]))
			w.tell(FindingNearStep, "found.near_row", args...)
		} else {
			w.tell(FindingNearStep, "found.near_no_row", args...)
		}
		return
	}
}
