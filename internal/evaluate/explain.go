package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// explain looks for one slip that would account for a difference between
// measured and predicted play: another grade than the one that was recorded, or
// a link of the sum with the wrong sign or left out. It suggests; it does not
// decide.
func (w *work) explain(difference, believable gauge.Length) gauge.Message {
	hints := w.otherGrade(difference, believable)
	for _, name := range w.links() {
		value, ok := w.V.Of[name]
		if !ok {
			continue
		}
		l, err := formula.InUnit(value, w.P.Unit)
		if err != nil || l.Abs() <= believable {
			continue
		}
		switch {
		case near(difference, 2*l, believable), near(difference, -2*l, believable):
			hints = append(hints, gauge.Say("hint.wrong_sign", gauge.Text("name", name)))
		case near(difference, l, believable), near(difference, -l, believable):
			hints = append(hints, gauge.Say("hint.left_out", gauge.Text("name", name)))
		}
	}
	return gauge.Sentences(hints...)
}

// otherGrade names grades that, if they had been fitted, would have given what
// was measured.
func (w *work) otherGrade(difference, believable gauge.Length) []gauge.Message {
	fitted := w.e.Fitted
	family := w.stock[w.P.Parts]
	if family == nil || fitted.Measured {
		return nil
	}
	thick := *fitted.Thickness + w.beyondStamped(fitted)
	for _, g := range family.Grades {
		if g.Thickness != nil && g.Part != fitted.Part && near(difference, thick-*g.Thickness-compute.Pieces{g}.Beyond(), min(believable, family.HalfStep())) {
			return []gauge.Message{gauge.Say("hint.other_grade", w.P.TellGrade("grade", g), gauge.Text("part", fitted.Part))}
		}
	}
	return nil
}

// links are the lengths that the gap is made of.
func (w *work) links() []string {
	var links []string
	for _, name := range w.P.Gap.Names() {
		if w.P.Units[name].Kind() == gauge.KindLength {
			links = append(links, name)
		}
	}
	return links
}

func near(a, b, within gauge.Length) bool { return (a - b).Abs() <= within }
