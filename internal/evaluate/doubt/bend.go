package doubt

import (
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// bend is what a look at a formula that is no straight line found.
type bend struct {
	simulated *Simulation // nil: it is straight as far as its inputs are uncertain
	most      string      // the input that bends it most
	nought    bool        // along its slopes the result would be certain
	slopes    bool        // it was not drawn through, for too many results bend
}

// departing is how far a formula may leave its slopes, in standard uncertainties,
// before a Monte Carlo run is asked: what the run then has to find out.
const departing = 0.05

// bend looks whether a formula is straight enough for a budget by slopes. Where
// its inputs reach a bend, a run through the formula and one along its slopes, of
// the same draws, are compared; the former counts where their intervals differ
// by the tolerance of JCGM 101, clause 8.
func (d *Doubts) bend(a *Assessed, c *collector, x *formula.Expression, u gauge.Unit) bend {
	if !c.of.bends {
		return bend{}
	}
	m := c.modelOf(x, countsOf(u))
	if !d.sample(x, lookedAt(c.inputs)) {
		return bend{}
	}
	total, most := uncertainty.Departs(m, c.slopes, c.inputs)
	if total <= departing*a.budget.Standard {
		return bend{}
	}
	each := d.draws()
	if each == 0 {
		return bend{most: c.inputs[most].Name, slopes: true}
	}
	if !d.sample(x, each) {
		return bend{}
	}
	sample, straight, err := uncertainty.MonteCarloBoth(m, c.slopes, c.drawn(), each, seed)
	if err != nil {
		return bend{}
	}
	coverage := d.P.Coverage.Float()
	b := bend{most: c.inputs[most].Name, nought: a.budget.Standard == 0}
	counts := b.nought || uncertainty.Bent(sample, straight, a.budget.Standard, coverage)
	if counts {
		a.bent = &sample
	}
	if d.Kept == nil {
		low, high := sample.Interval(coverage)
		b.simulated = &Simulation{
			Draws: each, Standard: ThreeDigits(sample.Standard()), Low: signedThreeDigits(low), High: signedThreeDigits(high), Counts: counts,
		}
	}
	return b
}

// said points out that a run through the formula counts.
func (b bend) said(d *Doubts, name string) {
	most, _, _ := strings.Cut(b.most, cancels)
	if b.slopes {
		d.tell(BySlopes, "found.by_slopes", resultArg("name", name), gauge.Nested("source", d.source(most)))
	}
	if b.simulated == nil || !b.simulated.Counts {
		return
	}
	why := "bends.differs"
	if b.nought {
		why = "bends.nought"
	}
	args := []gauge.Arg{resultArg("name", name), gauge.Nested("source", d.source(most)), gauge.Word("why", why), gauge.Count("draws", b.simulated.Draws)}
	if b.simulated.Draws < draws {
		args = append(args, gauge.Count("usual", draws))
	}
	d.tell(MonteCarlo, "found.bends", args...)
}

// drawn are the inputs as they are drawn. A mean of three readings or fewer has no
// Standard deviation as Student's t; it is drawn normal, with the same interval.
func (c *collector) drawn() []uncertainty.Input {
	inputs := make([]uncertainty.Input, len(c.inputs))
	for i, in := range c.inputs {
		if in.Distribution == uncertainty.Student && in.Freedom > 0 && in.Freedom <= 2 {
			one := uncertainty.Budget{Standard: in.Standard, Freedom: in.Freedom}
			expanded, _ := one.Expanded(procedure.UsualCoverage.Float())
			in = uncertainty.Input{Name: in.Name, Standard: 2 * expanded / uncertainty.NarrowestWindow(procedure.UsualCoverage.Float()), Distribution: uncertainty.Normal}
		}
		inputs[i] = in
	}
	return inputs
}

// Standard is the standard uncertainty that counts.
func (a *Assessed) Standard() float64 {
	if a.bent != nil {
		return a.bent.Standard()
	}
	return a.budget.Standard
}

// Bent reports whether it was drawn through the formula, which is no straight line.
func (a *Assessed) Bent() bool { return a.bent != nil }
