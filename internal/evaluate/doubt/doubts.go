// Package doubt says how far the results of a job may be off: what makes each uncertain, its
// budget, the probability that it is inside its limits, and what would make it more certain.
package doubt

import (
	"math"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Doubts knows how far the values of a job may be off.
type Doubts struct {
	*compute.Job
	Budgets []Budget // that were made, in their order

	// Say is told what a person should know; nil where nobody is.
	Say func(Code, gauge.Message)
	// Kept are draws for many jobs, of which nothing is written down; nil for one job.
	Kept *uncertainty.Draws
	// Effort is what is left for probabilities; nil: no bound.
	Effort *Effort

	told      map[string]bool           // of which results enough is known
	known     map[string]*Assessed      // by the name of the result
	plays     map[string]*Assessed      // of plays, by the gap and what is stated of the parts
	said      map[string]bool           // what was pointed out: measurements whose error is missing, and values without scatter
	beside    map[string]*Assessed      // what decides results whose limits follow from measurements: how far they are from a limit; nil while that is not known
	standards map[*formula.Node]float64 // of what tables and roundings are given
	each      *int                      // draws of a result that bends; nil: not yet looked
}

// New has looked at nothing of a job yet.
func New(j *compute.Job) *Doubts {
	return &Doubts{
		Job: j, told: map[string]bool{}, known: map[string]*Assessed{}, plays: map[string]*Assessed{},
		said: map[string]bool{}, beside: map[string]*Assessed{}, standards: map[*formula.Node]float64{},
	}
}

// Code is a short fixed word for what a person should know.
type Code string

// What a person should know.
const (
	NearStep   Code = "near_step"            // a table or a rounding may give another value
	Unstated   Code = "uncertainty_unstated" // a contribution is not known
	Uncounted  Code = "scatter_not_counted"  // the scatter of the readings is not in the uncertainty
	MonteCarlo Code = "monte_carlo"          // the second opinion counts
	BySlopes   Code = "by_slopes"            // a formula bends, and was not drawn through
)

func (d *Doubts) tell(code Code, key string, args ...gauge.Arg) {
	if d.Say != nil {
		d.Say(code, gauge.Say(key, args...))
	}
}

// Known is the uncertainty of a result that was assessed; nil for any other.
func (d *Doubts) Known(name string) *Assessed { return d.known[name] }

// draws is how many draws each result gets that bends.
func (d *Doubts) draws() int {
	if d.each == nil {
		each := drawsOfEach(d.P)
		d.each = &each
	}
	return *d.each
}

// Assess makes the budget of a result, and writes it down once; nil when
// nothing is known of the gauges that make it and no tolerance is stated. Without
// the gauges' errors a budget is too small, which is said beside it.
func (d *Doubts) Assess(name string, x *formula.Expression, u gauge.Unit) *Assessed {
	told, ok := d.told[name]
	if !ok {
		rule := d.Ruling(x, procedure.Bounds{})
		told = rule.Guard || rule.Complete() || len(d.Toleranced(x)) > 0
		d.told[name] = told
	}
	if !told {
		return nil
	}
	return d.BudgetOf(name, x, u)
}

// BudgetOf is of what is known, be it all or not; nil when that is nothing.
func (d *Doubts) BudgetOf(name string, x *formula.Expression, u gauge.Unit) *Assessed {
	if a, ok := d.known[name]; ok {
		return a
	}
	rule := d.Ruling(x, procedure.Bounds{})
	a, c := d.assessed(x, u)
	if d.known[name] = a; a == nil {
		return nil
	}
	a.Unstated = rule.Unstated
	bend := d.bend(a, c, x, u)
	if d.Kept != nil {
		return a
	}
	a.at = len(d.Budgets)
	written := a.Written(name, u, d.P.Coverage)
	_, beside := d.beside[name]
	if !beside {
		written.Simulated = bend.simulated
	}
	d.Budgets = append(d.Budgets, written)
	if !beside {
		bend.said(d, name)
	}
	if rule.Guard {
		d.tooSmall(rule)
	}
	d.withoutScatter(c)
	d.nearSteps(name, a, u)
	return a
}

// tooSmall points out, once each, measurements whose gauge's error is missing
// in a budget.
func (d *Doubts) tooSmall(rule Ruling) {
	var names []string
	for _, name := range rule.Unstated {
		if !d.said[name] {
			d.said[name] = true
			names = append(names, name)
		}
	}
	if len(names) > 0 {
		d.tell(Unstated, "found.uncertainty_too_small", gauge.Texts("steps", names))
	}
}

// withoutScatter points out, once each, values whose scatter is not known.
func (d *Doubts) withoutScatter(c *collector) {
	for _, says := range c.without {
		if of := says.String(); !d.said[of] && d.Say != nil {
			d.said[of] = true
			d.Say(Uncounted, says)
		}
	}
}

// nearSteps says where a table or a rounding gives another value within the
// uncertainty of what is looked up or rounded.
func (d *Doubts) nearSteps(name string, a *Assessed, u gauge.Unit) {
	for _, c := range a.budget.Contributions {
		what, _, ok := strings.Cut(c.Name, nearBorder)
		if !ok {
			continue
		}
		away := ThreeDigits(math.Abs(c.Contribution) * math.Sqrt(3))
		d.tell(NearStep, "found.near_step", resultArg("name", name), gauge.Text("table", what), d.P.TellIn("away", away, u))
	}
}

// assessed makes a budget from the inputs of a result; nil when there are none.
func (d *Doubts) assessed(x *formula.Expression, u gauge.Unit) (*Assessed, *collector) {
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
	return &Assessed{budget: budget}, c
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

// SecondOpinion asks a simulation when the greatest contribution is not normal
// and makes the budget's interval wrong; it then counts.
func (d *Doubts) SecondOpinion(a *Assessed) {
	if d.Kept != nil {
		d.fromKept(a)
		return
	}
	dominant, ok := a.budget.Dominant()
	if !ok || a.sample != nil || a.bent != nil || a.fewReadings() {
		return
	}
	if !d.sample(nil, draws) {
		return
	}
	sample := a.budget.MonteCarlo(draws, seed)
	a.sample = &sample
	low, high := sample.Interval(d.P.Coverage.Float())
	d.Budgets[a.at].Simulated = &Simulation{
		Draws: draws, Standard: ThreeDigits(sample.Standard()), Low: signedThreeDigits(low), High: signedThreeDigits(high), Counts: true,
	}
	d.tell(MonteCarlo, "found.monte_carlo", gauge.Nested("source", d.source(dominant.Name)), gauge.Word("distribution", "distribution."+string(dominant.Distribution)), gauge.Count("draws", draws))
}

// fromKept takes the kept draws where SecondOpinion draws a sample.
func (d *Doubts) fromKept(a *Assessed) {
	if a.draws != nil || a.bent != nil || a.fewReadings() {
		return
	}
	if _, ok := d.Kept.Dominant(a.budget); ok {
		a.draws = d.Kept
	}
}

// KeptDraws are draws for many jobs.
func KeptDraws() *uncertainty.Draws { return uncertainty.NewDraws(draws, seed) }

// fewReadings reports whether a mean of three readings or fewer is part of the
// budget. Drawn as Student's t it would have no standard deviation and outweigh
// everything (JCGM 101, 6.4.9.4); the budget, which is then the wider of the two
// for what has limits, stands.
func (a *Assessed) fewReadings() bool {
	for _, c := range a.budget.Contributions {
		if c.Distribution == uncertainty.Student && c.Freedom > 0 && c.Freedom <= 2 {
			return true
		}
	}
	return false
}

func signedThreeDigits(x float64) gauge.Length {
	if x < 0 {
		return -ThreeDigits(-x)
	}
	return ThreeDigits(x)
}
