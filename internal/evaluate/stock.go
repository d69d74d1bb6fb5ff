package evaluate

import (
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// OutOfStock reports whether a grade is passed over because nobody has it any more.
func OutOfStock(c Candidate) bool { return c.PassedOver.Equal(outOfStock) }

// outOfStock is why a grade is passed over that nobody has any more.
var outOfStock = gauge.Say("passed.out_of_stock")

// stockKey tells pieces of all families apart.
type stockKey struct{ family, part string }

// takeOut takes what goes to a place out of what is left for this one.
func (w *fitting) takeOut(to *procedure.Place, pieces []procedure.Grade) {
	if to.Parts == "" {
		return
	}
	w.stock[to.Parts] = w.stock[to.Parts].Without(pieces)
	for _, g := range pieces {
		if g.Stock != nil {
			key := stockKey{to.Parts, g.Part}
			w.took[key] = append(w.took[key], to.Name)
		}
	}
}

// leaveFor leaves in stock for a place what no other one takes: what was fitted elsewhere
// before a part was fitted here, what is recommended for open places before it in their
// order, and what is reserved for places after it.
func (w *work) leaveFor(f *fitting, before []*fitting) {
	f.took = map[stockKey][]string{}
	in := map[string]bool{}
	for _, other := range w.In.Fitted {
		in[other.Place] = true
	}
	for _, other := range w.In.Fitted {
		if other.Place == f.place.Name {
			break
		}
		if place, ok := w.P.PlaceNamed(other.Place); ok && place.Parts != "" {
			pieces, _ := w.stock[place.Parts].PiecesOf(other.Part)
			f.takeOut(&place, pieces)
		}
	}
	settled := map[string]bool{f.place.Name: true}
	for _, g := range before {
		if settled[g.place.Name] = true; !in[g.place.Name] {
			f.takeOut(g.place, g.fit.pieces())
		}
	}
	for _, last := range w.reserved {
		if !settled[last.place.Name] && !in[last.place.Name] {
			f.takeOut(last.place, []procedure.Grade{last.grade})
		}
	}
}

// unavailable is why a grade that would do is passed over.
func (w *fitting) unavailable(g procedure.Grade) gauge.Message {
	if place, taken := w.goesTo(g); taken {
		return gauge.Say("passed.taken", gauge.Text("place", place))
	}
	return outOfStock
}

// goesTo is another place of the same job to which the last one of a grade goes.
func (w *fitting) goesTo(g procedure.Grade) (place string, taken bool) {
	for _, place := range slices.Backward(w.took[stockKey{w.place.Parts, g.Part}]) {
		if place != w.place.Name {
			return place, true
		}
	}
	return "", false
}

// missed points out a grade that cannot be had; the message says what it would have been.
func (w *fitting) missed(g procedure.Grade, key string, more ...gauge.Arg) {
	code, gone := FindingOutOfStock, gauge.Say("gone.out_of_stock")
	if place, taken := w.goesTo(g); taken {
		code, gone = FindingTaken, gauge.Say("gone.taken", gauge.Text("place", place))
	}
	w.tell(code, key, append([]gauge.Arg{w.P.TellGrade("grade", g), gauge.Nested("gone", gone)}, more...)...)
}

// takenElsewhere points out pieces that a pack cannot have because the last ones go to
// another place.
func (w *fitting) takenElsewhere() {
	for _, g := range w.family.Grades {
		if place, taken := w.goesTo(g); g.Out() && taken {
			w.pieceTaken(g, place)
		}
	}
}

func (w *fitting) pieceTaken(g procedure.Grade, place string) {
	w.tell(FindingTaken, "found.piece_taken", w.P.TellGrade("grade", g), gauge.Text("place", place))
}

// wantedTwice points out grades of which more places want one than there are.
func (s *split) wantedTwice() {
	at := map[stockKey][]string{}
	for _, f := range s.fits {
		for _, c := range f.fit.Candidates {
			if c.Fits && c.Stock != nil && *c.Stock > 0 {
				key := stockKey{f.place.Parts, c.Part}
				at[key] = append(at[key], f.place.Name)
			}
		}
	}
	for _, f := range s.fits {
		for _, c := range f.fit.Candidates {
			key := stockKey{f.place.Parts, c.Part}
			if places := at[key]; c.Fits && c.Stock != nil && len(places) > *c.Stock && places[0] == f.place.Name {
				s.tell(FindingTaken, "found.wanted_twice", s.P.TellGrade("grade", c.Grade), gauge.Texts("places", places), gauge.Count("n", *c.Stock))
			}
		}
	}
}
