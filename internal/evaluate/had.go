package evaluate

import (
	"gauged/internal/gauge"
)

// NoLongerAsked reports whether a finding is that a grade cannot be had for a place where
// a part is fitted by now. Verdicts keep it; who shows them leaves it out.
func NoLongerAsked(f Finding, fitted func(place string) bool) bool {
	switch f.Code {
	case FindingOutOfStock, FindingTaken:
		return fitted(placeOf(f.Says))
	}
	return false
}

// placeOf is the place that a message is about; empty: it names none.
func placeOf(m gauge.Message) string {
	if place, ok := m.Arg("place"); ok && m.Code == atPlace {
		return place.Text
	}
	return ""
}

// Shown are the findings without those that nobody asks any more.
func (e *Evaluation) Shown() (shown []Finding) {
	for _, f := range e.Findings {
		if !NoLongerAsked(f, e.isFitted) {
			shown = append(shown, f)
		}
	}
	return shown
}

func (e *Evaluation) isFitted(place string) bool {
	for _, f := range e.EachFit() {
		if f.Place == place {
			return f.Fitted != nil
		}
	}
	return false
}
