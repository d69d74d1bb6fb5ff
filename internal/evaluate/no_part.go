package evaluate

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// withNone returns the family with a grade that is no part at all.
func withNone(f *procedure.Family) *procedure.Family {
	more := *f
	more.Grades = append([]procedure.Grade{procedure.NoGrade()}, f.Grades...)
	return &more
}

// familyOf is the family of a place, as far as it is in stock. No part at all is
// one grade more where it is allowed.
func (w *work) familyOf(p *procedure.Place) *procedure.Family {
	f := w.stock[p.Parts]
	if f == nil || !p.Choose.None || p.Choose.Pack != nil {
		return f
	}
	return withNone(f)
}

// tooThin reports whether a stated thickness cannot be that of any part.
func (w *fitting) tooThin(t gauge.Length) bool {
	switch {
	case t > 0:
		return false
	case !w.place.Choose.None:
		return true
	case w.place.Within != nil:
		return t < -*w.place.Within
	}
	return t < 0
}

// takeNone settles on no part.
func (w *fitting) takeNone(why gauge.Message) {
	w.outcome = FitPart
	g := procedure.NoGrade()
	c := Candidate{Grade: g, Fits: true, Play: w.playWith(0)}
	if c.Play != nil {
		c.Worst, c.Probability = w.foretold(compute.Pieces{g}, *c.Play)
	}
	w.fit.Candidates = append(w.fit.Candidates, c)
	w.fit.Choice = &w.fit.Candidates[len(w.fit.Candidates)-1]
	w.fit.Why = gauge.Sentences(why, w.gives(0))
}

// noneIsBest reports whether no piece at all comes before a pack: with the fewest
// pieces whenever it is inside, by the sum when it is nearer.
func (w *fitting) noneIsBest(best gauge.Length) bool {
	if !w.place.Choose.None || !w.inWindow(0) {
		return false
	}
	return best < 0 || !w.place.Choose.Pack.SumFirst || w.twiceOff(0) <= w.twiceOff(best)
}

// keep accepts what was found, as the table says.
func (w *fitting) keep(why gauge.Message) {
	w.outcome, w.fit.Kept = Conforms, true
	w.fit.Why = why
	w.tell(FindingKept, "found.kept", gauge.Nested("why", why))
}

// fittedNone takes up that nothing was fitted.
func (w *fitting) fittedNone(fit *procedure.Fitted) {
	var nothing gauge.Length
	fit.Thickness = &nothing
	if r := w.fit.Recommended(); r != "" && r != procedure.NoPart {
		w.tell(FindingOtherPart, "found.nothing_fitted", gauge.Text("recommended", r))
	}
}

// Final is what a part is after the proof, when a fixed amount is added.
type Final struct {
	Add       gauge.Length `json:"add"`            // negative: taken away
	Thickness gauge.Length `json:"thickness"`      // of the part that was proved, with it
	Part      string       `json:"part,omitempty"` // the grade of just that thickness that can be had
}

// addAfterProof adds what the procedure adds when the proof conforms.
func (w *work) addAfterProof() {
	if w.e.Outcome != Conforms || len(w.P.Verify) == 0 {
		return
	}
	places := w.P.EachPlace()
	for i, f := range w.e.EachFit() {
		add := places[i].AddAfter
		if add == nil || f.Fitted == nil || f.Fitted.Thickness == nil {
			continue
		}
		f.Final = &Final{Add: *add, Thickness: *f.Fitted.Thickness + *add}
		key, args := "found.add_now", []gauge.Arg{w.P.Tell("amount", add.Abs()), w.P.Tell("thickness", f.Final.Thickness)}
		if *add < 0 {
			key = "found.take_away_now"
		}
		if places[i].Name != "" {
			args = append(args, gauge.Text("place", places[i].Name))
		}
		if family := w.stock[places[i].Parts]; family != nil {
			j := slices.IndexFunc(family.Grades, func(g procedure.Grade) bool {
				return g.Thickness != nil && *g.Thickness == f.Final.Thickness && !g.Out()
			})
			if j >= 0 {
				f.Final.Part = family.Grades[j].Part
				args = append(args, w.P.TellGrade("grade", family.Grades[j]))
			}
		}
		w.tell(FindingAddNow, key, args...)
	}
}
