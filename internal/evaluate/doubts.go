package evaluate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gauged/internal/evaluate/uncertainty"
	"gauged/internal/gauge"
)

// doubts knows how far the values of an evaluation may be off.
type doubts struct {
	w         *work
	known     map[string]*assessed
	said      map[string]bool   // measurements whose missing error was pointed out
	standards map[*node]float64 // of what tables and roundings are given
}

func newDoubts(w *work) *doubts {
	return &doubts{w: w, known: map[string]*assessed{}, said: map[string]bool{}, standards: map[*node]float64{}}
}

// decide compares a result with its limits, by the rule that follows from what
// makes it. Where nothing is known of its gauges, the result itself decides.
// name is how its line of arithmetic is called.
func (w *work) decide(g *Judgement, name string, x *Expression, limits Bounds) {
	rule := w.ruling(x, limits)
	g.Outcome, g.Rule = within(g.Value, g.Between, g.Allowed), w.ruleName(rule)
	a := w.doubts.assess(name, x, g.Unit)
	if a == nil {
		return
	}
	w.secondOpinion(a)
	p := a.probability(g.Value, g.Allowed)
	g.Probability = &p
	if !rule.guard {
		return
	}
	g.Outcome = Outcome(uncertainty.Decide(p, w.p.Decide.Required))
}

// assess makes the budget of a result, and writes it down once; nil when
// nothing is known of the gauges that make it.
func (d *doubts) assess(name string, x *Expression, u gauge.Unit) *assessed {
	if a, ok := d.known[name]; ok {
		return a
	}
	rule := d.w.ruling(x, Bounds{})
	if !rule.guard && !rule.complete() {
		return nil // a budget without the gauges' errors would be too small
	}
	a := d.assessed(x, u)
	d.known[name] = a
	if a == nil || d.w.brief != nil {
		return a
	}
	d.w.e.Budgets = append(d.w.e.Budgets, a.written(name, u, d.w.p.Coverage))
	d.tooSmall(rule)
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
			name, what, d.w.p.showIn(away, u))
	}
}

func (d *doubts) assessed(x *Expression, u gauge.Unit) *assessed {
	c := d.inputs(x)
	inputs, sensitivities := c.inputs, c.slopes
	if len(inputs) == 0 {
		return nil
	}
	scale := 1.0
	if u.Kind() != gauge.KindLength {
		scale = float(scaleOf(u))
	}
	for i := range sensitivities {
		sensitivities[i] /= scale
	}
	budget, err := uncertainty.Combine(inputs, sensitivities)
	if err != nil {
		return nil // a derivative at a pole; the value itself stands
	}
	return &assessed{budget: budget}
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
	if !ok || a.sample != nil || a.fewReadings() {
		return
	}
	sample := a.budget.MonteCarlo(draws, seed)
	a.sample = &sample
	low, high := sample.Interval(w.p.Coverage.Float())
	w.e.Budgets[len(w.e.Budgets)-1].Simulated = &Simulation{
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

// probability that a grade ends inside the limits.
func (w *fitting) probability(g Grade, play gauge.Length) *Probability {
	gap := w.doubts.assess(w.place.prefix()+"gap", w.place.Gap, w.p.Unit)
	if gap == nil {
		return nil
	}
	p := gap.plus(g.doubt()).probability(play, w.fit.Allowed)
	return &p
}

// doubt is the standard uncertainty of a part's nominal thickness.
func (g Grade) doubt() float64 {
	if g.Tolerance == nil {
		return 0
	}
	return uncertainty.FromHalfWidth(float64(*g.Tolerance), uncertainty.Rectangular)
}

// plus adds one independent input of infinite freedom to the sum, not to the
// table.
func (a *assessed) plus(standard float64) *assessed {
	return &assessed{budget: a.budget.Plus(standard)}
}

// predicted writes down the budget of the play that a part will leave: that of
// the gap, and the part's own.
func (w *fitting) predicted(g Grade) {
	gap := w.doubts.known[w.place.prefix()+"gap"]
	if gap == nil || g.Tolerance == nil {
		return
	}
	sum := gap.plus(g.doubt())
	part := uncertainty.Contribution{
		Input:        uncertainty.Input{Name: g.Part + ": tolerance", Standard: g.doubt(), Distribution: uncertainty.Rectangular},
		Contribution: g.doubt(),
	}
	sum.budget.Contributions = make([]uncertainty.Contribution, 0, len(gap.budget.Contributions)+1)
	for _, c := range append(slices.Clip(gap.budget.Contributions), part) {
		c.Share = c.Contribution * c.Contribution / (sum.budget.Standard * sum.budget.Standard)
		sum.budget.Contributions = append(sum.budget.Contributions, c)
	}
	w.e.Budgets = append(w.e.Budgets, sum.written(w.place.prefix()+"play with "+g.Part, w.p.Unit, w.p.Coverage))
}

// unlikely is by how much another grade must be more probable to be named.
const unlikely Probability = 200

// doubtful points out a choice that may well end outside the limits, and a
// grade that would more probably end inside.
func (w *fitting) doubtful() {
	c := w.fit.Choice
	if c.Probability == nil || w.brief != nil {
		return
	}
	w.predicted(c.Grade)
	if required := w.p.Decide.Required; *c.Probability < required {
		w.find(FindingUnlikely, "the probability that it ends inside the limits is %s, wanted is %s: measure after fitting, or with a better gauge before", c.Probability, required)
	}
	for _, other := range w.fit.Candidates {
		if other.Fits && !other.out() && other.Probability != nil && *other.Probability >= *c.Probability+unlikely {
			w.find(FindingLikelier, "%s would more probably end inside the limits (%s)", w.p.showGrade(other.Grade), other.Probability)
		}
	}
}

// believable is by how much measured and predicted play may differ: what the
// procedure says, else what the uncertainty of both explains.
func (w *work) believable(v *Verification) (allowed *gauge.Length, because string) {
	predicted, measured := w.doubts.known["gap"], w.doubts.known["verified "+string(w.p.word())]
	if predicted != nil && measured != nil {
		u := math.Hypot(w.fittedGap(predicted).budget.Standard, measured.budget.Standard)
		expanded := threeDigits(2 * u) // k = 2 for about 95 %
		v.Uncertainty = &expanded
	}
	if w.p.PredictedWithin != nil {
		return w.p.PredictedWithin, "allowed"
	}
	return v.Uncertainty, "explained by the uncertainty of both"
}

// fittedGap adds what is not known of the fitted part to a gap.
func (w *work) fittedGap(gap *assessed) *assessed {
	f := w.e.Fitted
	if w.family == nil || f.Measured {
		if a, ok := w.p.Instruments[w.p.Choose.MeasuredWith]; ok && a.Error != nil {
			return gap.plus(uncertainty.FromHalfWidth(float64(*a.Error), uncertainty.Rectangular))
		}
		return gap
	}
	g, _ := w.family.Grade(f.Part)
	return gap.plus(g.doubt())
}

// tooNarrow refuses limits between which the gauges cannot decide, before
// anything is measured.
func (w *work) tooNarrow() {
	if len(w.in.Readings) > 0 {
		return
	}
	for _, r := range w.results() {
		allowed := r.limits.Limits
		if allowed.Min == nil || allowed.Max == nil || !r.x.linear || !w.ruling(r.x, r.limits).guard {
			continue
		}
		a := w.doubts.assessed(r.x, r.unit)
		if a == nil || a.budget.Standard == 0 {
			continue
		}
		width := float64(*allowed.Max - *allowed.Min)
		least := uncertainty.NarrowestWindow(w.p.Decide.Required.Float())
		if width >= least*a.budget.Standard {
			continue
		}
		w.e.Outcome = Undecided
		w.find(FindingTooNarrow, "%s: the limits are %s apart, which is %.1f times the standard uncertainty of %s; at least %.2f times are needed before any value can be said to conform: %s",
			r.name, w.p.showIn(*allowed.Max-*allowed.Min, r.unit), width/a.budget.Standard, w.p.showIn(threeDigits(a.budget.Standard), r.unit), least, w.whatWouldDo(a, width/least, r.unit))
	}
}

// whatWouldDo says how good the gauge with the greatest share must be.
func (w *work) whatWouldDo(a *assessed, allowed float64, u gauge.Unit) string {
	greatest := uncertainty.Contribution{}
	for _, c := range a.budget.Contributions {
		if c.Contribution > greatest.Contribution {
			greatest = c
		}
	}
	rest := a.budget.Standard*a.budget.Standard - greatest.Contribution*greatest.Contribution
	room := allowed*allowed - rest
	if room <= 0 {
		return fmt.Sprintf("the greatest share is %s, but without it the limits are still too narrow", greatest.Name)
	}
	halfWidth := math.Sqrt(room) * greatest.Standard / greatest.Contribution * math.Sqrt(3)
	return fmt.Sprintf("the greatest share is %s; it would do with %s either way at most", greatest.Name, w.p.showIn(floorTwoDigits(halfWidth), u))
}

// floorTwoDigits rounds down to two digits, as a limit that is demanded.
func floorTwoDigits(x float64) gauge.Length {
	step := math.Max(1, math.Pow(10, math.Floor(math.Log10(x))-1))
	return gauge.Length(math.Floor(x/step) * step)
}

// judgedAs is a result that will be judged.
type judgedAs struct {
	name   string
	x      *Expression
	unit   gauge.Unit
	limits Bounds
}

// results lists what will be judged.
func (w *work) results() []judgedAs {
	var all []judgedAs
	if p := w.p; !p.ChoosesPart() && p.Gap != nil {
		all = append(all, judgedAs{string(p.word()), p.Gap, p.Unit, p.Allowed})
	} else if p.VerifyPlay != nil {
		all = append(all, judgedAs{"verified " + string(p.word()), p.VerifyPlay, p.Unit, p.Allowed})
	}
	if len(w.p.Verify) == 0 { // then what is predicted is all that is known
		for _, place := range w.p.EachPlace() {
			if place.Gap != nil && place.Choose.Aim != AimTable {
				all = append(all, judgedAs{place.prefix() + "predicted " + string(place.word()), place.Gap, w.p.Unit, place.Allowed})
			}
		}
	}
	for _, judges := range [][]Judge{w.p.Judge, w.p.Proof} {
		for _, j := range judges {
			if x, ok := w.formula(j.Named); ok && j.Is == "" && x != nil && j.Then != ThenAdvise {
				all = append(all, judgedAs{j.Name, x, j.Unit, j.Limits})
			}
		}
	}
	return all
}
