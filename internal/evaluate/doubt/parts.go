package doubt

import (
	"fmt"
	"math"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// InputsOf are what is not known of the thickness of parts: each piece by itself.
func InputsOf(s compute.Pieces) []uncertainty.Input {
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

// With is a budget with more inputs, each of which counts in full.
func (a *Assessed) With(more []uncertainty.Input) *Assessed {
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
	sum := &Assessed{budget: budget, Unstated: a.Unstated}
	if a.bent != nil {
		bent := a.bent.With(more, seed+1) // other deviates than those in it
		sum.bent = &bent
	}
	return sum
}

// Inside is the probability that a play lies within limits; what outweighs the
// other contributions keeps its own shape, without draws.
func (a *Assessed) Inside(play gauge.Length, allowed procedure.Limits) uncertainty.Probability {
	low, high := math.Inf(-1), math.Inf(1)
	if allowed.Min != nil {
		low = float64(*allowed.Min - play)
	}
	if allowed.Max != nil {
		high = float64(*allowed.Max - play)
	}
	return uncertainty.Rounded(a.Within(low, high))
}

// Within is the probability that a result is between low and high from what was found.
func (a *Assessed) Within(low, high float64) float64 {
	switch {
	case a.bent != nil:
		return a.bent.Probability(low, high)
	case a.fewReadings():
		return a.budget.Probability(0, low, high)
	}
	return a.budget.Shaped(0, low, high)
}

// greatest is the contribution that counts most.
func (a *Assessed) greatest() uncertainty.Contribution {
	greatest := uncertainty.Contribution{}
	for _, c := range a.budget.Contributions {
		if c.Contribution > greatest.Contribution {
			greatest = c
		}
	}
	return greatest
}

// Gap is the uncertainty of a gap; nil where nothing is known of the gauges and no
// tolerance is stated, of the parts neither. own is what is not known of the parts.
func (d *Doubts) Gap(name string, x *formula.Expression, own []uncertainty.Input) *Assessed {
	gap := d.Assess(name, x, d.P.Unit)
	if gap == nil && len(own) > 0 {
		gap = d.BudgetOf(name, x, d.P.Unit)
	}
	if gap == nil && len(own) > 0 {
		gap = &Assessed{Unstated: d.Ruling(x, procedure.Bounds{}).Unstated}
	}
	return gap
}

// Play is the uncertainty of the play that parts leave of a gap: that of the gap, and
// the parts' own. At one place parts of one tolerance share it.
func (d *Doubts) Play(place string, gap *Assessed, own []uncertainty.Input) *Assessed {
	if len(own) == 0 {
		return gap
	}
	key := place
	for _, in := range own {
		key += fmt.Sprint(" ", in.Standard)
	}
	known, ok := d.plays[key]
	if !ok {
		known = gap.With(own)
		d.plays[key] = known
	}
	return known
}

// Measured is what is not known of a part that was measured with an instrument; empty:
// it is not said with which.
func (d *Doubts) Measured(with string) []uncertainty.Input {
	c := &collector{d: d, at: map[inputKey]int{}, slope: -1}
	c.part(with)
	for i, slope := range c.slopes {
		c.inputs[i].Standard *= math.Abs(slope)
	}
	return c.inputs
}

// StandardLess is the standard uncertainty of a formula less a part: what is not known of
// the part is own, or follows from the instrument with which it was measured. Without a
// formula it is that of the part alone.
func (d *Doubts) StandardLess(x *formula.Expression, own []uncertainty.Input, with string) float64 {
	c := &collector{d: d, at: map[inputKey]int{}}
	if x != nil {
		c = d.inputs(x)
	}
	c.slope = -1
	for _, in := range own {
		c.put(inputKey{name: in.Name}, in, 1)
	}
	c.part(with)
	b, err := uncertainty.Combine(c.inputs, c.slopes)
	if err != nil {
		return 0
	}
	return b.Standard
}

// part adds what is not known of a part that was measured with an instrument; empty:
// it is not said with which.
func (c *collector) part(with string) {
	if with != "" {
		c.step(procedure.Step{Name: "part", Instrument: with, Unit: c.d.P.Unit}, "")
	}
}
