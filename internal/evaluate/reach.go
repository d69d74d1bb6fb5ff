package evaluate

import (
	"fmt"

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
func (w *fitting) belongs(i int) bool {
	ends := []gauge.Length{*w.fit.Aim}
	if b := w.wanted; b != nil {
		ends = append(ends, *b.Min, *b.Max)
	}
	for _, wanted := range ends {
		if !w.reaches(i, wanted) {
			return false
		}
	}
	return true
}

func (w *fitting) reaches(i int, wanted gauge.Length) bool {
	off := wanted - *w.family.Grades[i].Thickness
	step, beside := w.stepBeside(i, off > 0)
	switch {
	case off == 0:
		return true
	case w.joint && beside: // another place may take up the rest
		return off.Abs() < step
	case w.place.Choose.Aim == AimNearest:
		return 2*off.Abs() <= step
	case w.place.Choose.Border == BorderOutside: // the grade of just that thickness is passed over
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
		case c.Thickness == nil || c.out():
		case *c.Thickness < aim:
			w.fit.Thinner = c
		case w.fit.Thicker == nil:
			w.fit.Thicker = c
		}
	}
	reach := "half a step"
	if w.place.Choose.Aim != AimNearest {
		reach = "a step"
	}
	text := fmt.Sprintf("wanted is %s, and no grade that can be had is %s within %s of it", w.p.showBetween(aim, w.wanted, w.p.Unit), w.sought(), reach)
	for _, side := range []struct {
		word string
		c    *Candidate
	}{{"thinner", w.fit.Thinner}, {"thicker", w.fit.Thicker}} {
		if side.c != nil {
			text += fmt.Sprintf("; the next %s, %s, is %s off", side.word, w.p.showGrade(side.c.Grade), w.p.show((*side.c.Thickness - aim).Abs()))
		}
	}
	w.find(FindingNothingFits, "%s: check what was measured and the part family, say within in the procedure if more may differ, or order the part", text)
}

// sought says on which side of a stated thickness the grade is looked for.
func (w *fitting) sought() string {
	switch w.place.Choose.Aim {
	case AimThicker:
		return "as thick or thicker"
	case AimThinner:
		return "as thick or thinner"
	}
	return "the nearest"
}
