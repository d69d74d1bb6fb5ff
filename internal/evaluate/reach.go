package evaluate

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// unbounded reports whether the procedure states a thickness and does not say
// how much the part may differ: then only the grade that the thickness belongs
// to fits.
func (w *fitting) unbounded() bool {
	return w.place.Thickness != nil && w.place.Within == nil
}

// belongs reports whether the stated thickness belongs to a grade: it is at most
// half the step to the neighbour on its side away, for the next thicker or
// thinner less than the whole step. Stock does not matter: a grade that is out
// of stock keeps its place. Past an end of the family the step of that end
// counts; a family of one grade has none, so that only the grade itself fits. A
// thickness known as an interval belongs to a grade with both its ends.
func (w *fitting) belongs(i int) bool { return w.belongsAs(i, *w.family.Grades[i].Thickness) }

// belongsAs is belongs for a piece of the grade that is so thick.
func (w *fitting) belongsAs(i int, t gauge.Length) bool {
	if b := w.wanted; b != nil && !(w.reaches(i, t, *b.Min) && w.reaches(i, t, *b.Max)) {
		return false
	}
	return w.reaches(i, t, *w.fit.Aim)
}

// openBetween reports whether no grade is right for both ends of an interval
// while there are some for one of them: then the interval does not decide, and
// a closer measurement may. It names them.
func (w *fitting) openBetween() bool {
	right := w.rightForAnEnd()
	if right == nil {
		return false
	}
	var named []gauge.Arg
	for i, c := range w.fit.Candidates {
		if c.Fits {
			return false // and is out of stock
		}
		if c.Thickness != nil && right(i, *c.Thickness) {
			named = append(named, w.P.TellGrade("", c.Grade))
		}
	}
	switch len(named) {
	case 0:
		return false
	case 1, 2, 3:
	default:
		named = []gauge.Arg{named[0], gauge.Nested("", gauge.Say("grade.more", gauge.Count("n", len(named)-2))), named[len(named)-1]}
	}
	key, at, between := "found.wanted_open_between", *w.fit.Aim, w.wanted
	if w.fit.Gap != nil {
		key, at, between = "found.gap_open_between", *w.fit.Gap, w.fit.Between
	}
	w.outcome = Undecided
	w.tell(FindingInterval, key, w.P.TellBetween("value", at, between, w.P.Unit), gauge.List("grades", named...))
	return true
}

// rightForAnEnd says which grade is right for one end of an interval; nil where
// there is none.
func (w *fitting) rightForAnEnd() func(i int, thickness gauge.Length) bool {
	if gap := w.fit.Between; w.fit.Gap != nil && gap != nil {
		return func(_ int, t gauge.Length) bool {
			a := w.fit.Allowed
			return a.Contains(*gap.Min-t) || a.Contains(*gap.Max-t)
		}
	}
	b := w.wanted
	if b == nil {
		return nil
	}
	return func(i int, t gauge.Length) bool {
		if within := w.place.Within; within != nil {
			return (t-*b.Min).Abs() <= *within || (t-*b.Max).Abs() <= *within
		}
		return w.reaches(i, t, *b.Min) || w.reaches(i, t, *b.Max)
	}
}

func (w *fitting) reaches(i int, t, wanted gauge.Length) bool {
	off := wanted - t
	step, beside := w.stepBeside(i, off > 0)
	switch {
	case off == 0:
		return true
	case w.joint && beside: // another place may take up the rest
		return off.Abs() < step
	case w.place.Choose.Aim == procedure.AimNearest:
		return 2*off.Abs() <= step
	case w.place.Choose.Border == procedure.BorderOutside: // the grade of just that thickness is passed over
		return off.Abs() <= step
	}
	return off.Abs() < step
}

// stepBeside is the step from a grade to the next thicker or the next thinner;
// past an end of the family, where there is none, the step of that end.
func (w *fitting) stepBeside(i int, thicker bool) (step gauge.Length, beside bool) {
	grades := w.family.Grades
	if len(grades) < 2 {
		return 0, false
	}
	other := i - 1
	if thicker {
		other = i + 1
	}
	beside = other >= 0 && other < len(grades)
	if !beside {
		other = 2*i - other
	}
	return (*grades[other].Thickness - *grades[i].Thickness).Abs(), beside
}

// nothingBelongs names the nearest grades that can be had on both sides of a
// stated thickness.
func (w *fitting) nothingBelongs() {
	aim := *w.fit.Aim
	for i := range w.fit.Candidates {
		c := &w.fit.Candidates[i]
		switch {
		case c.Thickness == nil || c.Out():
		case *c.Thickness < aim:
			w.fit.Thinner = c
		case w.fit.Thicker == nil:
			w.fit.Thicker = c
		}
	}
	reach := "reach.half_a_step"
	if w.place.Choose.Aim != procedure.AimNearest {
		reach = "reach.a_step"
	}
	args := []gauge.Arg{w.P.TellBetween("aim", aim, w.wanted, w.P.Unit), gauge.Word("sought", w.sought()), gauge.Word("reach", reach)}
	if c := w.fit.Thinner; c != nil {
		args = append(args, w.P.TellGrade("thinner", c.Grade), w.P.Tell("thinner_off", (*c.Thickness-aim).Abs()))
	}
	if c := w.fit.Thicker; c != nil {
		args = append(args, w.P.TellGrade("thicker", c.Grade), w.P.Tell("thicker_off", (*c.Thickness-aim).Abs()))
	}
	w.tell(FindingNothingFits, "found.nothing_belongs", args...)
}

// sought says on which side of a stated thickness the grade is looked for.
func (w *fitting) sought() string {
	switch w.place.Choose.Aim {
	case procedure.AimThicker:
		return "sought.thicker"
	case procedure.AimThinner:
		return "sought.thinner"
	}
	return "sought.nearest"
}
