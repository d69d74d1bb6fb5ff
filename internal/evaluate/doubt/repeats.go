package doubt

import (
	"math"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

const pooled = ": repeatability, pooled"

// repeats adds the scatter of the readings and the step of the display.
func (c *collector) repeats(name string, s procedure.Step, take procedure.Take, a gauge.Ability, unit, factor float64) {
	list := c.d.V.Readings[s.Name].Of
	if take.OfExtremes() {
		if a.Repeats == nil && len(list) > 1 {
			c.without = append(c.without, gauge.Say("found.scatter_not_counted", gauge.Text("step", s.Name), gauge.Count("n", len(list)), gauge.Word("take", "proc.take."+string(take))))
		}
		list = nil // their scatter is what is measured
	}
	scatter, usual, _ := c.d.ScatterOf(s, list)
	if s.Unit.Kind() != gauge.KindLength {
		scatter.SD *= float(formula.ScaleOf(s.Unit))
	}
	by := factor * endsOf(take, len(list)) / math.Sqrt(c.shares(s, take))
	if usual {
		c.pooled(name, s, scatter, by)
	} else {
		c.add(name+": repeatability", scatter.SD, uncertainty.Student, scatter.DoF, by)
	}
	if a.Resolution != nil {
		c.add(name+": resolution", uncertainty.Resolution(float64(*a.Resolution)*unit)*endsOf(take, 0), uncertainty.Rectangular, 0, factor)
	}
}

// ScatterOf is the scatter of a single reading, in the unit of the step, by which
// readings are judged; more says that they scatter more than is usual with the
// gauge, and usual that it is not their own.
func (d *Doubts) ScatterOf(s procedure.Step, readings []gauge.Length) (scatter uncertainty.Scatter, usual, more bool) {
	own := uncertainty.FromFirst(readings)
	a := d.Ability(s)
	if a.Repeats == nil {
		return uncertainty.ScatterOf(own), false, false
	}
	step := 0.0
	if a.Resolution != nil {
		step = float64(compute.InStep(*a.Resolution, a.Unit, s.Unit))
	}
	stated := uncertainty.Scatter{SD: float64(compute.InStep(a.Repeats.Deviation, a.Unit, s.Unit)), DoF: a.Repeats.Freedom}
	scatter, more = stated.Counts(own, step)
	return scatter, scatter == stated, more
}

// pooled adds a usual scatter. It is one number, known from so many readings,
// whatever it is applied to: what all measurements of a gauge scatter is one line,
// the root of the sum of the squares, with its degrees of freedom once.
func (c *collector) pooled(name string, s procedure.Step, usual uncertainty.Scatter, by float64) {
	in := uncertainty.Input{Name: name + pooled, Standard: usual.SD, Distribution: uncertainty.Student, Freedom: float64(usual.DoF)}
	if c.of.bends { // each has its own place in the formula
		c.put(inputKey{name: in.Name}, in, by)
		return
	}
	of := gaugeKey{"instrument", s.Instrument}
	if _, known := c.d.In.Gauges[s.Name]; known {
		of = c.d.gaugeOf(s)
	}
	key := inputKey{pooled, of, usual.SD}
	before := 0.0
	if i, known := c.at[key]; known {
		before = c.slopes[i]
		c.calledAfter(i, name, pooled)
	}
	if i, _ := c.put(key, in, by); in.Standard != 0 && by != 0 {
		c.slopes[i] = math.Hypot(before, c.slope*by)
	}
}

// ends is how many times more than that of a mean, or of one reading, the scatter of
// a statistic of n readings is: a range has two ends, and a median scatters
// sqrt(pi/2) times as much as a mean of normal readings.
func endsOf(t procedure.Take, n int) float64 {
	switch {
	case t == procedure.TakeRange:
		return math.Sqrt2
	case t == procedure.TakeMedian && n > 2:
		return math.Sqrt(math.Pi / 2)
	}
	return 1
}

// shares is how many readings share the scatter; before measuring as many as will
// be taken.
func (c *collector) shares(s procedure.Step, take procedure.Take) float64 {
	switch {
	case take.OfExtremes():
		return 1
	case len(c.d.In.Readings) == 0:
		return float64(max(s.Repeats, 1))
	}
	return float64(max(len(c.d.V.Readings[s.Name].Of), 1))
}
