package evaluate

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// nameSamePieces reports whether two names are of the same pieces, in whatever order.
func nameSamePieces(a, b string) bool {
	return slices.Equal(slices.Sorted(slices.Values(procedure.PieceNames(a))), slices.Sorted(slices.Values(procedure.PieceNames(b))))
}

// gap is the uncertainty of the gap, where own is what is not known of the parts.
func (w *fitting) gap(own []uncertainty.Input) *doubt.Assessed {
	return w.doubts.Gap(w.place.GapName(), w.place.Gap, own)
}

// foretold is the worst case of the play that parts leave, and the probability
// that it ends inside the limits; nil where nothing is known, or nothing limited.
func (w *fitting) foretold(parts compute.Pieces, play gauge.Length) (worst *procedure.Limits, p *Probability) {
	return w.foretoldWith(parts, doubt.InputsOf(parts), play)
}

// foretoldWith is foretold for parts of which something else is unknown than what is
// stated of them.
func (w *fitting) foretoldWith(parts compute.Pieces, own []uncertainty.Input, play gauge.Length) (worst *procedure.Limits, p *Probability) {
	if !w.fit.Allowed.Limited() {
		return nil, nil
	}
	if a := w.doubts.Play(w.place.Name, w.gap(own), own); a != nil && !w.fit.Allowed.Point() {
		inside := a.Inside(play-parts.Beyond(), w.fit.Allowed)
		p, w.fit.Unstated = &inside, a.Unstated
	}
	return w.left(parts.Ends()), p
}

// unlikely is by how much another grade must be more probable to be named.
const unlikely Probability = 200

// doubtful points out a choice that may well end outside the limits, and a
// grade that would more probably end inside.
func (w *fitting) doubtful() {
	c := w.fit.Choice
	w.doubtfulPart(compute.Pieces{c.Grade}, c.Probability, c.Worst)
	w.strays(compute.Pieces{c.Grade})
	if c.Probability == nil || w.brief != nil {
		return
	}
	for _, other := range w.fit.Candidates {
		if other.Fits && !other.Out() && other.Probability != nil && *other.Probability >= *c.Probability+unlikely {
			w.foresee(FindingLikelier, "found.likelier", w.P.TellGrade("grade", other.Grade), procedure.Chance("probability", *other.Probability))
		}
	}
}

// doubtfulPart writes down the budget of the play that parts will leave, and
// points out when they may end outside the limits.
func (w *fitting) doubtfulPart(parts compute.Pieces, p *Probability, worst *procedure.Limits) {
	w.doubtfulWith(parts, doubt.InputsOf(parts), p, worst)
}

func (w *fitting) doubtfulWith(parts compute.Pieces, own []uncertainty.Input, p *Probability, worst *procedure.Limits) {
	if w.brief != nil {
		return
	}
	play := w.doubtAbout(parts, own, p, worst)
	if play == nil || len(own) == 0 || w.In.Earlier && w.fit.Fitted != nil {
		return
	}
	written := play.Written(w.place.Prefix()+doubt.PlayWith+parts.Name(), w.P.Unit, w.P.Coverage)
	if beyond := parts.Beyond(); beyond != 0 {
		around := *w.fit.Gap - parts.Nominal() - beyond
		written.Around = &around
	}
	w.doubts.Budgets = append(w.doubts.Budgets, written)
	w.budget = len(w.doubts.Budgets)
}

// doubtAbout points out when parts may end outside the limits, and returns what is not
// known of the play that they leave; nil where nothing is.
func (w *fitting) doubtAbout(parts compute.Pieces, own []uncertainty.Input, p *Probability, worst *procedure.Limits) *doubt.Assessed {
	w.leaves(parts, worst)
	w.surelyOutside(parts, worst, p)
	if p == nil {
		return nil
	}
	play := w.gap(own)
	if len(own) > 0 {
		play = play.With(own)
	}
	if required := w.P.Decide.Required; *p < required && !w.surely(parts, worst, p) {
		w.foresee(FindingUnlikely, "found.unlikely", procedure.Chance("probability", *p), procedure.Chance("wanted", required), gauge.Nested("remedy", play.Remedy()))
	}
	return play
}

// leaves points out a choice that may end outside the limits although it and all
// constants are within their stated tolerances.
func (w *fitting) leaves(parts compute.Pieces, worst *procedure.Limits) {
	if worst == nil || !w.fit.Allowed.Limited() || w.fit.Allowed.Contains(*worst.Min) && w.fit.Allowed.Contains(*worst.Max) || w.surely(parts, worst, nil) {
		return
	}
	w.foresee(FindingWorst, "found.worst_play", append(w.tellBeside(nil, nil, worst), gauge.Texts("stated", w.stated(w.place.Gap, parts)), gauge.Text("part", parts.Name()))...)
}

// strays points out a part of a stated thickness that may differ by more than
// allowed although it and all constants are within their stated tolerances.
func (w *fitting) strays(parts compute.Pieces) {
	within := w.place.Within
	if w.place.Thickness == nil || within == nil || w.brief != nil {
		return
	}
	least, most := w.off(parts)
	if least >= -*within && most <= *within || w.surely(parts, nil, nil) {
		return
	}
	said := append(w.P.TellMost("off", max(most, -least), *within, w.P.Unit), gauge.Texts("stated", w.stated(w.place.Thickness, parts)), gauge.Text("part", parts.Name()))
	w.foresee(FindingWorst, "found.worst_thickness", said...)
}

// astride points out a gap that may belong to another row of the table although
// all constants are within their stated tolerances.
func (w *fitting) astride(chosen int) {
	worst := w.fit.Worst
	if worst == nil || w.brief != nil || w.row(*worst.Min) == chosen && w.row(*worst.Max) == chosen {
		return
	}
	w.tell(FindingWorst, w.gapOr("found.worst_gap", "found.worst_value"), gauge.Texts("stated", w.stated(w.place.Gap, nil)), w.P.TellBetween("gap", *w.fit.Gap, worst, w.gapUnit()))
}

// stated lists the constants and parts with a tolerance that make a result.
func (w *fitting) stated(x *formula.Expression, parts compute.Pieces) []string {
	of := w.Toleranced(x)
	for _, g := range parts {
		if g.Toleranced() && !slices.Contains(of, g.Part) {
			of = append(of, g.Part)
		}
	}
	return of
}

// around is the worst case of a gap, or what is known of it where nothing that
// makes it has a tolerance.
func (w *fitting) around() procedure.Limits {
	switch {
	case w.fit.Worst != nil:
		return *w.fit.Worst
	case w.fit.Between != nil:
		return *w.fit.Between
	}
	return procedure.Limits{Min: w.fit.Gap, Max: w.fit.Gap}
}

// left is between which ends the play lies that parts leave, wherever they and the
// constants are within their stated tolerances; nil where none is stated.
func (w *fitting) left(thinnest, thickest gauge.Length) *procedure.Limits {
	if w.fit.Gap == nil || w.fit.Worst == nil && thinnest == thickest {
		return nil
	}
	gap := w.around()
	least, most := *gap.Min-thickest, *gap.Max-thinnest
	return &procedure.Limits{Min: &least, Max: &most}
}
