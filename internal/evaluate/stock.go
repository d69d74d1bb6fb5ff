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

// takeOut takes what is recommended out of the stock.
func (w *fitting) takeOut() {
	if w.place.Parts == "" {
		return
	}
	w.stock[w.place.Parts] = w.stock[w.place.Parts].Without(w.fit.pieces())
	for _, g := range w.fit.pieces() {
		if g.Stock != nil {
			key := stockKey{w.place.Parts, g.Part}
			w.took[key] = append(w.took[key], w.place.Name)
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
