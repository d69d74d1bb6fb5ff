package evaluate

import (
	"fmt"

	"gauged/internal/evaluate/combine"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Pack is several pieces on each other.
type Pack struct {
	Pieces    []procedure.Grade `json:"pieces"` // as they are stacked, the thinnest outside
	Thickness gauge.Length      `json:"thickness"`
	Play      *gauge.Length     `json:"play,omitempty"` // negative is a preload; nil when the thickness was stated
	// Worst is between which ends the play lies, wherever pieces and constants are within their stated tolerances.
	Worst       *procedure.Limits `json:"worst,omitempty"`
	Probability *Probability      `json:"probability,omitempty"` // that it ends inside the limits
}

// Name lists the part numbers in the order of the stack.
func (p Pack) Name() string { return compute.Pieces(p.Pieces).Name() }

// pack takes the fewest pieces in stock whose sum is in the window, among those
// the sum nearest to the aim; or the nearest sum, with the fewest pieces.
func (w *fitting) pack() {
	s, ok := combine.NewPacks(w.family.Grades, *w.place.Choose.Pack, *w.fit.Window.Max)
	if !ok {
		w.outcome = TooMany
		w.find(FindingTooMany, "the thicknesses of family %s differ by steps as fine as %s %s, so that their sums are too many to try, more than %d: allow fewer pieces, or look for a slip of the pen in the table",
			w.family.ID, procedure.Shortest(s.Step(), w.family.Unit), w.family.Unit, combine.MostSums)
		return
	}
	rule := w.place.Choose.Pack
	best, of := gauge.Length(-1), 0
	for pieces := rule.Least; pieces <= rule.Most && (best < 0 || rule.SumFirst); pieces++ {
		for sum := range s.Sums(pieces) {
			if w.inWindow(sum) && (best < 0 || sum != best && w.nearer(sum, best)) && !w.surelyPack(s.Pieces(pieces, sum)) {
				best, of = sum, pieces
			}
		}
	}
	if w.noneIsBest(best) {
		w.takeNone(w.packWhy(0))
		return
	}
	if best < 0 {
		w.nearestPacks(s)
		return
	}
	pack := w.packOf(s.Pieces(of, best), best)
	if w.surely(pack.Pieces, pack.Worst, pack.Probability) {
		w.outcome = NothingFits
		w.surelyOutside(pack.Pieces, pack.Worst, pack.Probability)
		return
	}
	w.outcome, w.fit.Pack = FitPart, pack
	w.fit.Why = gauge.Plain(w.packWhy(of) + w.giving("; it gives ", best) + w.tiedPack(s, of, best))
	w.doubtfulPack()
}

// piecesOf writes a number of pieces.
func piecesOf(n int) string {
	if n == 1 {
		return "1 piece"
	}
	return fmt.Sprintf("%d pieces", n)
}

// packWhy says in one sentence why a pack was chosen.
func (w *fitting) packWhy(pieces int) string {
	window, nearest := w.P.ShowLimits(*w.fit.Window), fmt.Sprintf("it is nearest to %s (%s)", w.P.Show(*w.fit.Aim), w.aimWords())
	if w.place.Choose.Pack.SumFirst {
		return fmt.Sprintf("of the packs of %d to %d pieces within %s %s, with the fewest pieces for that sum", w.place.Choose.Pack.Least, w.place.Choose.Pack.Most, window, nearest)
	}
	return fmt.Sprintf("%s with %s within %s %s", w.fewest(pieces), piecesOf(pieces), window, nearest)
}

// doubtfulPack points out a pack that may end outside the limits.
func (w *fitting) doubtfulPack() {
	w.doubtfulPart(w.fit.Pack.Pieces, w.fit.Pack.Probability, w.fit.Pack.Worst)
	w.strays(w.fit.Pack.Pieces)
}

// fewest says why a pack has so many pieces.
func (w *fitting) fewest(pieces int) string {
	if pieces > w.place.Choose.Pack.Least {
		return "fewer pieces do not reach; of the packs"
	}
	return "of the packs"
}

// nearestPacks names the sums on both sides of a window that no pack reaches.
func (w *fitting) nearestPacks(s *combine.Packs) {
	w.outcome = NothingFits
	w.takenElsewhere()
	text := fmt.Sprintf("no pack of %d to %d pieces is %s thick", w.place.Choose.Pack.Least, w.place.Choose.Pack.Most, w.P.ShowLimits(*w.fit.Window))
	for pieces := w.place.Choose.Pack.Least; pieces <= w.place.Choose.Pack.Most; pieces++ {
		below, above := s.Around(pieces, *w.fit.Window)
		if thinner := w.fit.PackThinner; below > 0 && (thinner == nil || below > thinner.Thickness) {
			w.fit.PackThinner = w.packOf(s.Pieces(pieces, below), below)
		}
		if thicker := w.fit.PackThicker; above > 0 && (thicker == nil || above < thicker.Thickness) {
			w.fit.PackThicker = w.packOf(s.Pieces(pieces, above), above)
		}
	}
	for _, side := range []struct {
		word string
		pack *Pack
	}{{"thinner", w.fit.PackThinner}, {"thicker", w.fit.PackThicker}} {
		if side.pack != nil {
			text += fmt.Sprintf("; the next %s, %s of %s%s", side.word, side.pack.Name(), w.P.Show(side.pack.Thickness), w.giving(", would give ", side.pack.Thickness))
		}
	}
	w.find(FindingNothingFits, "%s: check the sum and the stock, then measure again or order what is missing", text)
}

func (w *fitting) packOf(pieces []procedure.Grade, sum gauge.Length) *Pack {
	p := &Pack{Pieces: combine.ThinnestOutside(pieces), Thickness: sum, Play: w.playWith(sum)}
	if p.Play != nil {
		p.Worst, p.Probability = w.foretold(p.Pieces, *p.Play)
	}
	return p
}
