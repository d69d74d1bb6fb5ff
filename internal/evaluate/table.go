package evaluate

import (
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// fromTable takes the grade whose row serves the gap.
func (w *fitting) fromTable() {
	if w.betweenRows() {
		return
	}
	chosen := w.row(*w.fit.Gap)
	for i, g := range w.family.Grades {
		c := w.tableCandidate(g)
		if c.Fits = chosen >= 0 && w.alike(i, chosen); !c.Fits && w.serves(g, *w.fit.Gap) {
			c.PassedOver = w.atBorder()
		}
		w.againstLimits(&c)
		w.fit.Candidates = append(w.fit.Candidates, c)
	}
	if chosen < 0 {
		w.outcome = NothingFits
		w.tell(FindingNothingFits, w.gapOr("found.no_row_for_gap", "found.no_row_for_value"), w.P.TellIn("gap", roundToStep(*w.fit.Gap, w.family.RowStep), w.gapUnit()))
		return
	}
	w.astride(chosen)
	w.nearRow(chosen)
	if w.contradicted() {
		return
	}
	w.taken(gauge.Word("asked", w.gapOr("asked.gap", "asked.looked_up")), gauge.Say(w.gapOr("why.table_gap", "why.table_value"), w.P.TellLimitsIn("gaps", w.fit.Candidates[chosen].Serves, w.gapUnit())))
	if c := w.fit.Choice; w.outcome == FitPart && c != nil && c.Play != nil {
		w.doubtful()
	}
}

// row is the index of the grade whose row serves a gap; -1 when none does. Two
// rows serve their common border; the later one is the upper.
func (w *fitting) row(gap gauge.Length) int {
	chosen := -1
	for i, g := range w.family.Grades {
		if w.serves(g, gap) && (chosen < 0 || w.family.BorderUpper && !w.alike(i, chosen)) {
			chosen = i
		}
	}
	return chosen
}

// alike reports whether two rows serve the same gaps, so that both their parts
// are right.
func (w *fitting) alike(a, b int) bool {
	return w.family.Grades[a].Serves.Equal(w.family.Grades[b].Serves)
}

func (w *fitting) serves(g procedure.Grade, gap gauge.Length) bool {
	return g.Serves.Limited() && g.Serves.Contains(roundToStep(gap, w.family.RowStep))
}

// gapOr is the code of a text about what the table is looked up by: the gap, or a value
// that is no gap.
func (w *fitting) gapOr(gap, value string) string {
	if w.place.NoGap {
		return value
	}
	return gap
}

// atBorder says to which of two rows a gap at their common border belongs.
func (w *fitting) atBorder() gauge.Message {
	if w.family.BorderUpper {
		return gauge.Say("passed.upper_row")
	}
	return gauge.Say("passed.lower_row")
}

// betweenRows points out a gap whose ends belong to different rows.
func (w *fitting) betweenRows() bool {
	b := w.fit.Between
	if b == nil {
		return false
	}
	if row := w.row(*w.fit.Gap); w.row(*b.Min) == row && w.row(*b.Max) == row {
		return false
	}
	w.outcome = Undecided
	w.tell(FindingInterval, w.gapOr("found.between_rows", "found.value_between_rows"), w.P.TellBetween("gap", *w.fit.Gap, b, w.gapUnit()))
	return true
}

// taken settles on the first of the grades that a table gives that can be had.
func (w *fitting) taken(asked gauge.Arg, why gauge.Message) {
	chosen := -1
	for i := range w.fit.Candidates {
		switch c := &w.fit.Candidates[i]; {
		case !c.Fits:
		case c.Out():
			c.PassedOver = w.unavailable(c.Grade)
			w.missed(c.Grade, "found.missed_asked", asked)
		case chosen < 0:
			chosen = i
		}
	}
	if chosen < 0 {
		w.outcome = NothingFits
		return
	}
	w.choose(chosen)
	if w.fit.Why = gauge.Sentences(why, w.alsoRight(chosen)); w.fit.Choice.Part == procedure.AsItIs {
		w.keep(why)
	}
}

// alsoRight names the other grades that are right and can be had.
func (w *fitting) alsoRight(chosen int) gauge.Message {
	for i := range w.fit.Candidates {
		switch c := &w.fit.Candidates[i]; {
		case i == chosen || !c.Fits || c.Out():
		case w.lessLikely(c, &w.fit.Candidates[chosen]):
			c.PassedOver = gauge.Say("passed.unlikely", procedure.Chance("probability", *c.Probability))
		default:
			w.fit.Also = append(w.fit.Also, c.Part)
		}
	}
	if len(w.fit.Also) == 0 {
		return gauge.Message{}
	}
	return gauge.Say("why.also_right", gauge.Texts("parts", w.fit.Also))
}

// lessLikely reports whether a grade is too improbable to end inside the limits to be
// called right beside the one that is chosen.
func (w *fitting) lessLikely(c, chosen *Candidate) bool {
	return c.Probability != nil && *c.Probability < w.P.Decide.Required && (chosen.Probability == nil || *c.Probability < *chosen.Probability)
}

// fromCodes takes the grade that the table gives for the marks that were read.
func (w *fitting) fromCodes() error {
	marks := make([]string, len(w.family.CodeSteps))
	said := make([]gauge.Arg, len(marks))
	for i, step := range w.family.CodeSteps {
		marks[i] = w.V.Marks[step]
		said[i] = gauge.Nested("", gauge.Say("asked.value", gauge.Text("name", step), gauge.Text("value", marks[i])))
	}
	asked := gauge.List("asked", said...)
	parts, ok := w.family.CodeRows[procedure.CodeKey(marks)]
	given := false
	for _, g := range w.family.Grades {
		c := Candidate{Grade: g, Fits: slices.Contains(parts, g.Part)}
		given = given || c.Fits
		w.fit.Candidates = append(w.fit.Candidates, c)
	}
	switch {
	case ok && len(parts) == 0:
		w.outcome = NothingFits
		w.tell(FindingForbidden, "found.table_forbids", asked)
	case !given:
		w.outcome = NothingFits
		w.tell(FindingNothingFits, "found.no_row_for_marks", asked)
	default:
		w.taken(asked, gauge.Say("why.table", asked))
		w.fit.Thinner, w.fit.Thicker = nil, nil
	}
	return nil
}

// roundToStep rounds a gap to whole steps, half to even; a step of 0 leaves it.
func roundToStep(gap, step gauge.Length) gauge.Length {
	if step == 0 {
		return gap
	}
	steps := gap / step
	rest := 2 * (gap - steps*step).Abs()
	if rest > step || rest == step && steps%2 != 0 {
		if gap < 0 {
			steps--
		} else {
			steps++
		}
	}
	return steps * step
}
