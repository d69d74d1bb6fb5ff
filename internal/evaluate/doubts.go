package evaluate

import (
	"math"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// doubts knows how far the values of an evaluation may be off.
type doubts struct {
	w         *work
	told      map[string]bool           // of which results enough is known
	known     map[string]*assessed      // by the name of the result
	plays     map[string]*assessed      // of plays, by the gap and what is stated of the parts
	said      map[string]bool           // what was pointed out: measurements whose error is missing, and values without scatter
	beside    map[string]*assessed      // what decides results whose limits follow from measurements: how far they are from a limit; nil while that is not known
	standards map[*formula.Node]float64 // of what tables and roundings are given
	each      *int                      // draws of a result that bends; nil: not yet looked
}

func newDoubts(w *work) *doubts {
	return &doubts{
		w: w, told: map[string]bool{}, known: map[string]*assessed{}, plays: map[string]*assessed{},
		said: map[string]bool{}, beside: map[string]*assessed{}, standards: map[*formula.Node]float64{},
	}
}

// draws is how many draws each result gets that bends.
func (d *doubts) draws() int {
	if d.each == nil {
		each := drawsOfEach(d.w.P)
		d.each = &each
	}
	return *d.each
}

// decide compares a result with its limits, by the rule that follows from what
// makes it. Where nothing is known of its gauges, the result itself decides.
// name is how its line of arithmetic is called.
func (w *work) decide(g *Judgement, name string, x *formula.Expression, limits procedure.Bounds) {
	rule := w.ruling(x, limits)
	g.Outcome, g.Rule = within(g.Value, g.Between, g.Allowed), w.ruleName(rule)
	if w.brief == nil {
		g.Worst = w.Worst(x, g.Unit)
	}
	measured := w.measuredLimits(limits)
	if measured {
		w.doubts.beside[name] = nil
	}
	a := w.doubts.assess(name, x, g.Unit)
	if a == nil {
		if rule.guard && len(rule.unstated) > 0 {
			g.Outcome = Undecided
			w.find(FindingUnstated, "%s: a guard band is asked for, and nothing is stated of the gauge of %s: state its error, calibration or repeatability, or decide by simple acceptance", name, strings.Join(rule.unstated, ", "))
		}
		return
	}
	p, ok := w.besideLimits(a, name, x, g, limits)
	if !measured || !ok {
		w.secondOpinion(a)
		p = a.probability(g.Value, g.Allowed)
	}
	g.Probability, g.Unstated = &p, rule.unstated
	if !rule.guard {
		return
	}
	g.Outcome = Outcome(uncertainty.Decide(p, w.P.Decide.Required))
}

// assess makes the budget of a result, and writes it down once; nil when
// nothing is known of the gauges that make it and no tolerance is stated. Without
// the gauges' errors a budget is too small, which is said beside it.
func (d *doubts) assess(name string, x *formula.Expression, u gauge.Unit) *assessed {
	told, ok := d.told[name]
	if !ok {
		rule := d.w.ruling(x, procedure.Bounds{})
		told = rule.guard || rule.complete() || len(d.w.Toleranced(x)) > 0
		d.told[name] = told
	}
	if !told {
		return nil
	}
	return d.budget(name, x, u)
}

// budget is of what is known, be it all or not; nil when that is nothing.
func (d *doubts) budget(name string, x *formula.Expression, u gauge.Unit) *assessed {
	if a, ok := d.known[name]; ok {
		return a
	}
	rule := d.w.ruling(x, procedure.Bounds{})
	a, c := d.assessed(x, u)
	if d.known[name] = a; a == nil {
		return nil
	}
	a.unstated = rule.unstated
	bend := d.bend(a, c, x, u)
	if d.w.brief != nil {
		return a
	}
	a.at = len(d.w.e.Budgets)
	written := a.written(name, u, d.w.P.Coverage)
	_, beside := d.beside[name]
	if !beside {
		written.Simulated = bend.simulated
	}
	d.w.e.Budgets = append(d.w.e.Budgets, written)
	if !beside {
		bend.said(d.w, name)
	}
	if rule.guard {
		d.tooSmall(rule)
	}
	d.withoutScatter(c)
	d.nearSteps(name, a, u)
	return a
}

// tooSmall points out, once each, measurements whose gauge's error is missing
// in a budget.
func (d *doubts) tooSmall(rule ruling) {
	var names []string
	for _, name := range rule.unstated {
		if !d.said[name] {
			d.said[name] = true
			names = append(names, name)
		}
	}
	if len(names) > 0 {
		d.w.find(FindingUnstated, "the uncertainty is too small: the error of the gauge of %s is not stated", strings.Join(names, ", "))
	}
}

// withoutScatter points out, once each, values whose scatter is not known.
func (d *doubts) withoutScatter(c *collector) {
	for _, text := range c.without {
		if !d.said[text] {
			d.said[text] = true
			d.w.find(FindingUncounted, "%s", text)
		}
	}
}

// nearSteps says where a table or a rounding gives another value within the
// uncertainty of what is looked up or rounded.
func (d *doubts) nearSteps(name string, a *assessed, u gauge.Unit) {
	for _, c := range a.budget.Contributions {
		what, _, ok := strings.Cut(c.Name, nearBorder)
		if !ok {
			continue
		}
		away := threeDigits(math.Abs(c.Contribution) * math.Sqrt(3))
		d.w.find(FindingNearStep, "%s: within the uncertainty of what was measured %s gives another value, and the result would be another by up to %s; that counts as an error of so much either way: read more often, or measure with a better gauge",
			name, what, d.w.P.ShowIn(away, u))
	}
}

// assessed makes a budget from the inputs of a result; nil when there are none.
func (d *doubts) assessed(x *formula.Expression, u gauge.Unit) (*assessed, *collector) {
	c := d.inputs(x)
	if len(c.inputs) == 0 {
		return nil, c
	}
	scale := countsOf(u)
	for i := range c.slopes {
		c.slopes[i] /= scale
	}
	budget, err := uncertainty.Combine(c.inputs, c.slopes)
	if err != nil {
		return nil, c // a derivative at a pole; the value itself stands
	}
	return &assessed{budget: budget}, c
}

// countsOf is what one count of a unit is, in what is computed with.
func countsOf(u gauge.Unit) float64 {
	if u.Kind() == gauge.KindLength {
		return 1
	}
	return float(formula.ScaleOf(u))
}

// draws of the second opinion: the standard error of a probability of 95 % is
// then 0.05 %. The seed is fixed, so that a verdict can be computed again.
const (
	draws = 200_000
	seed  = 14253
)

// secondOpinion asks a simulation when the greatest contribution is not normal
// and makes the budget's interval wrong; it then counts.
func (w *work) secondOpinion(a *assessed) {
	if w.brief != nil {
		w.brief.secondOpinion(a)
		return
	}
	dominant, ok := a.budget.Dominant()
	if !ok || a.sample != nil || a.bent != nil || a.fewReadings() {
		return
	}
	if !w.sample(nil, draws) {
		return
	}
	sample := a.budget.MonteCarlo(draws, seed)
	a.sample = &sample
	low, high := sample.Interval(w.P.Coverage.Float())
	w.e.Budgets[a.at].Simulated = &Simulation{
		Draws: draws, Standard: threeDigits(sample.Standard()), Low: signedThreeDigits(low), High: signedThreeDigits(high), Counts: true,
	}
	w.find(FindingMonteCarlo, "%s is %s and outweighs the other contributions, so Student's t does not hold: the probability is taken from %d draws of a Monte Carlo run (JCGM 101)",
		dominant.Name, dominant.Distribution, draws)
}

// fewReadings reports whether a mean of three readings or fewer is part of the
// budget. Drawn as Student's t it would have no standard deviation and outweigh
// everything (JCGM 101, 6.4.9.4); the budget, which is then the wider of the two
// for what has limits, stands.
func (a *assessed) fewReadings() bool {
	for _, c := range a.budget.Contributions {
		if c.Distribution == uncertainty.Student && c.Freedom > 0 && c.Freedom <= 2 {
			return true
		}
	}
	return false
}

func signedThreeDigits(x float64) gauge.Length {
	if x < 0 {
		return -threeDigits(-x)
	}
	return threeDigits(x)
}

// judgedAs is a result that will be judged.
type judgedAs struct {
	name   string
	place  string
	x      *formula.Expression
	unit   gauge.Unit
	limits procedure.Bounds
}

// results lists what will be judged.
func (w *work) results() []judgedAs {
	var all []judgedAs
	if p := w.P; !p.ChoosesPart() && p.Gap != nil {
		all = append(all, judgedAs{string(p.ClosingWord()), "", p.Gap, p.Unit, p.Allowed})
	} else if p.VerifyPlay != nil {
		all = append(all, judgedAs{"verified " + string(p.ClosingWord()), "", p.VerifyPlay, p.Unit, p.Allowed})
	}
	if len(w.P.Verify) == 0 { // then what is predicted is all that is known
		for _, place := range w.P.EachPlace() {
			if place.Gap != nil && place.Choose.Aim != procedure.AimTable {
				all = append(all, judgedAs{place.Prefix() + "predicted " + string(place.ClosingWord()), place.Name, place.Gap, w.P.Unit, place.Allowed})
			}
		}
	}
	for _, judges := range [][]procedure.Judge{w.P.Judge, w.P.Proof} {
		for _, j := range judges {
			if x, ok := w.Formula(j.Named); ok && j.Is == "" && x != nil && j.Then != procedure.ThenAdvise {
				all = append(all, judgedAs{j.Name, "", x, j.Unit, j.Limits})
			}
		}
	}
	return all
}
