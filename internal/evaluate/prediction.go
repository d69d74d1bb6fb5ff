package evaluate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// nameSamePieces reports whether two names are of the same pieces, in whatever order.
func nameSamePieces(a, b string) bool {
	return slices.Equal(slices.Sorted(slices.Values(procedure.PieceNames(a))), slices.Sorted(slices.Values(procedure.PieceNames(b))))
}

// inputsOf are what is not known of the thickness of parts: each piece by itself.
func inputsOf(s compute.Pieces) []uncertainty.Input {
	var inputs []uncertainty.Input
	for _, g := range s {
		if half := g.Half(); half != nil && *half > 0 {
			inputs = append(inputs, uncertainty.Input{
				Name: g.Part + ": tolerance of the part", Standard: uncertainty.FromHalfWidth(float64(*half), uncertainty.Rectangular), Distribution: uncertainty.Rectangular,
			})
		}
	}
	return inputs
}

// gapBudget is the uncertainty of the gap; nil where nothing is known of the
// gauges and no tolerance is stated, of the parts neither.
func (w *fitting) gapBudget(own []uncertainty.Input) *assessed {
	name := w.place.Prefix() + "gap"
	gap := w.doubts.assess(name, w.place.Gap, w.P.Unit)
	if gap == nil && len(own) > 0 {
		gap = w.doubts.budget(name, w.place.Gap, w.P.Unit)
	}
	if gap == nil && len(own) > 0 {
		gap = &assessed{unstated: w.ruling(w.place.Gap, procedure.Bounds{}).unstated}
	}
	return gap
}

// playBudget is the uncertainty of the play that parts leave: that of the gap, and
// the parts' own. Parts of one tolerance share it.
func (w *fitting) playBudget(own []uncertainty.Input) *assessed {
	gap := w.gapBudget(own)
	if len(own) == 0 {
		return gap
	}
	key := w.place.Name
	for _, in := range own {
		key += fmt.Sprint(" ", in.Standard)
	}
	known, ok := w.doubts.plays[key]
	if !ok {
		known = gap.with(own)
		w.doubts.plays[key] = known
	}
	return known
}

// with is a budget with more inputs, each of which counts in full.
func (a *assessed) with(more []uncertainty.Input) *assessed {
	var inputs []uncertainty.Input
	var slopes []float64
	for _, c := range a.budget.Contributions {
		inputs, slopes = append(inputs, c.Input), append(slopes, c.Sensitivity)
	}
	for _, in := range more {
		inputs, slopes = append(inputs, in), append(slopes, -1)
	}
	budget, err := uncertainty.Combine(inputs, slopes)
	if err != nil {
		return a
	}
	sum := &assessed{budget: budget, unstated: a.unstated}
	if a.bent != nil {
		bent := a.bent.With(more, seed+1) // other deviates than those in it
		sum.bent = &bent
	}
	return sum
}

// inside is the probability that a play lies within limits; what outweighs the
// other contributions keeps its own shape, without draws.
func (a *assessed) inside(play gauge.Length, allowed procedure.Limits) Probability {
	low, high := math.Inf(-1), math.Inf(1)
	if allowed.Min != nil {
		low = float64(*allowed.Min - play)
	}
	if allowed.Max != nil {
		high = float64(*allowed.Max - play)
	}
	return uncertainty.Rounded(a.within(low, high))
}

// within is the probability that a result is between low and high from what was found.
func (a *assessed) within(low, high float64) float64 {
	switch {
	case a.bent != nil:
		return a.bent.Probability(low, high)
	case a.fewReadings():
		return a.budget.Probability(0, low, high)
	}
	return a.budget.Shaped(0, low, high)
}

// foretold is the worst case of the play that parts leave, and the probability
// that it ends inside the limits; nil where nothing is known, or nothing limited.
func (w *fitting) foretold(parts compute.Pieces, play gauge.Length) (worst *procedure.Limits, p *Probability) {
	return w.foretoldWith(parts, inputsOf(parts), play)
}

// foretoldWith is foretold for parts of which something else is unknown than what is
// stated of them.
func (w *fitting) foretoldWith(parts compute.Pieces, own []uncertainty.Input, play gauge.Length) (worst *procedure.Limits, p *Probability) {
	if !w.fit.Allowed.Limited() {
		return nil, nil
	}
	if a := w.playBudget(own); a != nil && !w.fit.Allowed.Point() {
		inside := a.inside(play-parts.Beyond(), w.fit.Allowed)
		p, w.fit.Unstated = &inside, a.unstated
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
			w.find(FindingLikelier, "%s would more probably end inside the limits (%s)", w.P.ShowGrade(other.Grade), other.Probability)
		}
	}
}

// doubtfulPart writes down the budget of the play that parts will leave, and
// points out when they may end outside the limits.
func (w *fitting) doubtfulPart(parts compute.Pieces, p *Probability, worst *procedure.Limits) {
	w.doubtfulWith(parts, inputsOf(parts), p, worst)
}

func (w *fitting) doubtfulWith(parts compute.Pieces, own []uncertainty.Input, p *Probability, worst *procedure.Limits) {
	if w.brief != nil {
		return
	}
	w.leaves(parts, worst)
	w.surelyOutside(parts, worst, p)
	if p == nil {
		return
	}
	play := w.gapBudget(own)
	if len(own) > 0 {
		play = play.with(own)
		written := play.written(w.place.Prefix()+"play with "+parts.Name(), w.P.Unit, w.P.Coverage)
		if beyond := parts.Beyond(); beyond != 0 {
			around := *w.fit.Gap - parts.Nominal() - beyond
			written.Around = &around
		}
		w.e.Budgets = append(w.e.Budgets, written)
	}
	if required := w.P.Decide.Required; *p < required && !w.surely(parts, worst, p) {
		w.find(FindingUnlikely, "the probability that it ends inside the limits is %s, wanted is %s: measure after fitting, or %s before", p, required, w.remedy(play))
	}
}

// leaves points out a choice that may end outside the limits although it and all
// constants are within their stated tolerances.
func (w *fitting) leaves(parts compute.Pieces, worst *procedure.Limits) {
	if worst == nil || !w.fit.Allowed.Limited() || w.fit.Allowed.Contains(*worst.Min) && w.fit.Allowed.Contains(*worst.Max) || w.surely(parts, worst, nil) {
		return
	}
	w.find(FindingWorst, "within what is stated of %s, %s may leave anything from %s; allowed is %s: measure what is only stated, before it is fitted, or prove the result",
		strings.Join(w.stated(w.place.Gap, parts), ", "), parts.Name(), w.place.PlayRange(w.P, *worst), w.showAllowed())
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
	w.find(FindingWorst, "within what is stated of %s, %s may be up to %s off the wanted thickness; allowed is %s: measure what is only stated, before it is fitted",
		strings.Join(w.stated(w.place.Thickness, parts), ", "), parts.Name(), w.P.Show(max(most, -least)), w.P.Show(*within))
}

// astride points out a gap that may belong to another row of the table although
// all constants are within their stated tolerances.
func (w *fitting) astride(chosen int) {
	worst := w.fit.Worst
	if worst == nil || w.brief != nil || w.row(*worst.Min) == chosen && w.row(*worst.Max) == chosen {
		return
	}
	w.find(FindingWorst, "within what is stated of %s, the gap may be anything from %s to %s, and not all of that belongs to this row of the table: measure what is only stated",
		strings.Join(w.stated(w.place.Gap, nil), ", "), w.P.ShowIn(*worst.Min, w.gapUnit()), w.P.ShowIn(*worst.Max, w.gapUnit()))
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

// remedy says what would make a result more certain, by its greatest contribution.
func (w *work) remedy(a *assessed) string {
	if a == nil {
		return "measure again"
	}
	return remedyFor(a.greatest().Name)
}

// greatest is the contribution that counts most.
func (a *assessed) greatest() uncertainty.Contribution {
	greatest := uncertainty.Contribution{}
	for _, c := range a.budget.Contributions {
		if c.Contribution > greatest.Contribution {
			greatest = c
		}
	}
	return greatest
}

// kindOf is what a source of doubt is, without what it is of.
func kindOf(source string) string {
	if i := strings.LastIndex(source, ": "); i >= 0 {
		return source[i+2:]
	}
	return source
}

// remedyFor says what can be done about a contribution, by its kind.
func remedyFor(source string) string {
	kind := kindOf(source)
	if strings.HasPrefix(kind, "expansion of ") && kind != "expansion of the part" {
		return "state " + strings.TrimSuffix(kind, ", not stated") + " closer, or let part and gauge come to 20 degC"
	}
	of := strings.TrimSuffix(strings.TrimSuffix(source, kind), ": ")
	switch kind {
	case "tolerance", "tolerance of the part":
		return "measure " + of + " itself instead of taking it as it is stated"
	case "repeatability", "repeatability, pooled":
		return "take more readings of " + of
	case "between the blades":
		return "try the blades between, or measure with an indicator"
	case "angle", "out of line":
		return "set the gauge of " + of + " up in line"
	case "temperature", "temperature apart from the gauge's", "expansion of the part":
		return "let part and gauge come to 20 degC"
	case "error taken off":
		return "have the gauge checked"
	}
	return "measure " + of + " with a better gauge"
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
