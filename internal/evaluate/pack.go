package evaluate

import (
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
		w.tell(FindingTooMany, "found.too_fine", gauge.Text("family", w.family.ID), gauge.Shown("step", procedure.Shortest(s.Step(), w.family.Unit), w.family.Unit), gauge.Count("most", combine.MostSums))
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
	w.fit.Why = gauge.Sentences(w.packWhy(of), w.gives(best), w.tiedPack(s, of, best))
	w.doubtfulPack()
}

// packWhy says in one sentence why a pack was chosen.
func (w *fitting) packWhy(pieces int) gauge.Message {
	rule := w.place.Choose.Pack
	window, aim, how := w.P.TellLimits("window", *w.fit.Window), w.P.Tell("aim", *w.fit.Aim), w.tellAim("how")
	if rule.SumFirst {
		return gauge.Say("why.pack_sum", gauge.Count("least", rule.Least), gauge.Count("most", rule.Most), window, aim, how)
	}
	says := gauge.Say("why.pack", gauge.Count("n", pieces), window, aim, how)
	if pieces > rule.Least {
		return gauge.Sentences(gauge.Say("why.fewer_do_not_reach"), says)
	}
	return says
}

// doubtfulPack points out a pack that may end outside the limits.
func (w *fitting) doubtfulPack() {
	w.doubtfulPart(w.fit.Pack.Pieces, w.fit.Pack.Probability, w.fit.Pack.Worst)
	w.strays(w.fit.Pack.Pieces)
}

// nearestPacks names the sums on both sides of a window that no pack reaches.
func (w *fitting) nearestPacks(s *combine.Packs) {
	w.outcome = NothingFits
	w.takenElsewhere()
	for pieces := w.place.Choose.Pack.Least; pieces <= w.place.Choose.Pack.Most; pieces++ {
		below, above := s.Around(pieces, *w.fit.Window)
		if thinner := w.fit.PackThinner; below > 0 && (thinner == nil || below > thinner.Thickness) {
			w.fit.PackThinner = w.packOf(s.Pieces(pieces, below), below)
		}
		if thicker := w.fit.PackThicker; above > 0 && (thicker == nil || above < thicker.Thickness) {
			w.fit.PackThicker = w.packOf(s.Pieces(pieces, above), above)
		}
	}
	var beside []gauge.Length
	for _, p := range []*Pack{w.fit.PackThinner, w.fit.PackThicker} {
		if p != nil {
			beside = append(beside, p.Thickness)
		}
	}
	args := []gauge.Arg{gauge.Count("least", w.place.Choose.Pack.Least), gauge.Count("most", w.place.Choose.Pack.Most), w.P.Beside(*w.fit.Window, beside...).TellLimits("window", *w.fit.Window)}
	args = w.nextPack(args, "thinner", "thinner_play", w.fit.PackThinner)
	args = w.nextPack(args, "thicker", "thicker_play", w.fit.PackThicker)
	w.tell(FindingNothingFits, "found.no_pack_fits", args...)
}

// nextPack tells of the pack next to a window, with the play that it would give.
func (w *fitting) nextPack(args []gauge.Arg, name, play string, p *Pack) []gauge.Arg {
	if p == nil {
		return args
	}
	args = append(args, gauge.Nested(name, gauge.Say("pack.named", gauge.Text("parts", p.Name()), w.P.Tell("thickness", p.Thickness))))
	if left := w.playWith(p.Thickness); left != nil {
		args = append(args, w.place.TellPlay(play, w.P.Beside(w.fit.Allowed, *left), *left))
	}
	return args
}

func (w *fitting) packOf(pieces []procedure.Grade, sum gauge.Length) *Pack {
	p := &Pack{Pieces: combine.ThinnestOutside(pieces), Thickness: sum, Play: w.playWith(sum)}
	if p.Play != nil {
		p.Worst, p.Probability = w.foretold(p.Pieces, *p.Play)
	}
	return p
}
