package evaluate

import (
	"slices"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// OutOfStock reports whether a grade is passed over because nobody has it any more.
func OutOfStock(c Candidate) bool { return c.PassedOver.Equal(outOfStock) }

// outOfStock is why a grade is passed over that nobody has any more.
var outOfStock = gauge.Plain("out of stock")

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
	_, says := w.gone(g)
	return gauge.Plain(says)
}

// gone says why a grade cannot be had: it is out of stock, or the last one goes to
// another place of the same job.
func (w *fitting) gone(g procedure.Grade) (code FindingCode, says string) {
	places := w.took[stockKey{w.place.Parts, g.Part}]
	for _, place := range slices.Backward(places) {
		if place != w.place.Name {
			return FindingTaken, "the last one goes to " + place
		}
	}
	return FindingOutOfStock, outOfStock.String()
}

// missed points out a grade that cannot be had; what says what it would have been but
// is, then what else there is to say.
func (w *fitting) missed(g procedure.Grade, what, then string) {
	code, says := w.gone(g)
	if code == FindingTaken {
		what = strings.TrimSuffix(what, " is")
	}
	w.find(code, "%s %s %s%s", w.P.ShowGrade(g), what, says, then)
}

// takenElsewhere points out pieces that a pack cannot have because the last ones go to
// another place.
func (w *fitting) takenElsewhere() {
	for _, g := range w.family.Grades {
		if code, says := w.gone(g); g.Out() && code == FindingTaken {
			w.find(code, "of %s %s", w.P.ShowGrade(g), says)
		}
	}
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
				s.find(FindingTaken, "%s would fit at %s, and in stock is %d", s.P.ShowGrade(c.Grade), strings.Join(places, " and at "), *c.Stock)
			}
		}
	}
}
