package doubt

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// inputs lists everything that makes a result uncertain, each with the change
// of the result per change of the input. An input that several measurements
// share, such as the temperature or the error of their gauge, stands once with
// the sum of what it changes (JCGM 100, 5.2.2 and F.1.2.3).
func (d *Doubts) inputs(x *formula.Expression) *collector {
	s := newSlopes(d)
	c := &collector{d: d, of: s.formula(x)}
	most := 4 * len(s.leaves) // inputs of most measurements
	c.at = make(map[inputKey]int, most)
	c.inputs, c.slopes = make([]uncertainty.Input, 0, most), make([]float64, 0, most)
	c.leaves, c.values = s.leaves, s.values
	for i, l := range s.leaves {
		c.slope = 0
		if i < len(c.of.by) {
			c.slope = c.of.by[i]
		}
		if c.slope == 0 && !c.of.bends {
			continue
		}
		c.leaf, c.value = i, s.values[i]
		if l.stepping != nil {
			c.either(c.unused(l.name), l.jump, 1)
			continue
		}
		if step, _, ok := d.P.Step(l.name); ok {
			c.step(step, l.take)
		} else {
			c.constant(l.name)
		}
	}
	c.once()
	for i := range c.inputs {
		if c.slopes[i] == 0 && !c.of.bends {
			c.inputs[i].Name += cancels
		}
	}
	return c
}

// collector gathers the inputs of a budget.
type collector struct {
	d       *Doubts
	of      slope // the result
	leaves  []leaf
	values  []float64 // of the leaves
	inputs  []uncertainty.Input
	slopes  []float64 // of the result by the inputs
	effects []effect  // where the result bends
	at      map[inputKey]int
	bounded map[int]largest // of errors that bound a difference too
	without []gauge.Message // what is said of values whose scatter is not known

	leaf  int     // that is looked at
	slope float64 // of the result by it
	value float64 // of it
}

// effect is by how much an input changes a leaf of a formula, per change of the
// input.
type effect struct {
	leaf, input int
	by          float64
}

// inputKey tells inputs apart: what it is called, of which gauge, and how large
// it is.
type inputKey struct {
	name  string
	gauge gaugeKey
	size  float64
}

// add puts an input in, or another effect of one that is there.
func (c *collector) add(name string, standard float64, shape uncertainty.Distribution, nu int, by float64) {
	c.put(inputKey{name: name}, uncertainty.Input{Name: name, Standard: standard, Distribution: shape, Freedom: float64(nu)}, by)
}

func (c *collector) put(key inputKey, in uncertainty.Input, by float64) (index int, known bool) {
	if in.Standard == 0 || by == 0 {
		return 0, true
	}
	i, known := c.at[key]
	if !known {
		i = len(c.inputs)
		c.at[key] = i
		c.inputs, c.slopes = append(c.inputs, in), append(c.slopes, 0)
	}
	c.slopes[i] += c.slope * by
	if c.of.bends {
		c.effects = append(c.effects, effect{c.leaf, i, by})
	}
	return i, known
}

// shared adds an input that belongs to a gauge: all measurements that it gave have
// it in common, and the input is called after all of them.
func (c *collector) shared(gauge gaugeKey, step, what string, in uncertainty.Input, by float64) (index int) {
	in.Name = step + what
	i, known := c.put(inputKey{what, gauge, in.Standard}, in, by)
	if known && in.Standard != 0 && by != 0 {
		c.calledAfter(i, step, what)
	}
	return i
}

// calledAfter adds a measurement to the name of an input that several have.
func (c *collector) calledAfter(i int, step, what string) {
	steps := strings.TrimSuffix(c.inputs[i].Name, what)
	if !slices.Contains(strings.Split(steps, ", "), step) {
		c.inputs[i].Name = steps + ", " + step + what
	}
}

// rectangular is an input that may be off by so much either way.
func rectangular(halfWidth float64) uncertainty.Input {
	return uncertainty.Input{Standard: uncertainty.FromHalfWidth(halfWidth, uncertainty.Rectangular), Distribution: uncertainty.Rectangular}
}

// unused is a name that no input has yet: two calls of one table are two inputs.
func (c *collector) unused(name string) string {
	for n, first := 2, name; ; n++ {
		if _, ok := c.at[inputKey{name: name}]; !ok {
			return name
		}
		name = fmt.Sprintf("%s (%d)", first, n)
	}
}

// either adds an input that may be off by so much either way.
func (c *collector) either(name string, halfWidth float64, by float64) {
	in := rectangular(halfWidth)
	c.add(name, in.Standard, in.Distribution, 0, by)
}

func (c *collector) constant(name string) {
	c.parts(name)
	for _, k := range c.d.P.Constants {
		if k.Name != name || k.Doubt.Tolerance == nil {
			continue
		}
		tolerance := float(k.Doubt.Tolerance)
		switch k.Doubt.Distribution {
		case "normal":
			deviations := 2.0
			if k.Doubt.K != nil {
				deviations = float(k.Doubt.K)
			}
			c.add(name+": tolerance", uncertainty.FromExpanded(tolerance, deviations), uncertainty.Normal, k.Doubt.Freedom, 1)
		default:
			shape := uncertainty.Distribution(cmp.Or(k.Doubt.Distribution, string(uncertainty.Rectangular)))
			c.add(name+": tolerance", uncertainty.FromHalfWidth(tolerance, shape), shape, k.Doubt.Freedom, 1)
		}
	}
}

// step adds what makes one measurement uncertain. A statistic of extremes is
// that of single readings, whose own scatter is what they measure.
func (c *collector) step(s procedure.Step, take procedure.Take) {
	if len(s.Codes) > 0 {
		return
	}
	a := c.d.Ability(s)
	unit := 1.0 // of what is stated of the gauge, to compute with
	if s.Unit.Kind() != gauge.KindLength && a.Unit.Known() {
		unit = float(formula.ScaleOf(a.Unit))
	}
	factor := c.corrections(s)
	name, key := s.Name, formula.Taken{Step: s.Name}
	if take != s.Take {
		name, key.Take = string(take)+ofStep+s.Name, string(take)
	}
	if o, ok := c.d.Open[key]; ok {
		c.either(name+": between the blades", (float(o.High)-float(o.Low))/2, 1)
	} else {
		c.repeats(name, s, take, a, unit, factor)
	}
	c.ofGauge(name, s, take, a, unit, factor)
	if take != procedure.TakeRange { // in a range it cancels
		for _, off := range c.d.In.TakenOff {
			c.takenOff(off, factor*float64(off.Of[s.Name]))
		}
	}
}

// takenOff adds how well an error is known that was taken off.
func (c *collector) takenOff(off compute.TakenOff, by float64) {
	switch {
	case !off.Unknown:
		c.add(off.Name, 1, uncertainty.Normal, 0, by)
	case c.slope*by < 0:
		c.add(off.Name+takenAway, 1, uncertainty.Rectangular, 0, by)
	default:
		c.add(off.Name, 1, uncertainty.Rectangular, 0, by)
	}
}

// corrections adds what makes the corrections of a measurement uncertain and
// returns the factor by which its readings were multiplied.
func (c *collector) corrections(s procedure.Step) (factor float64) {
	factor = 1
	if s.Angle != nil {
		factor *= float(s.Angle.Cosine)
		if s.Angle.Tolerance != nil {
			c.angle(s)
		}
	}
	if s.Misaligned != nil {
		mean := float(s.Misaligned.Mean)
		factor *= mean
		c.either(s.Name+": out of line", math.Abs(c.value)*(1-mean)/mean, 1)
	}
	c.thermal(s)
	return factor
}

// angle adds an angle that is not exactly known: by the slope of its cosine, and
// by the bend, which is all there is where the reading is along the dimension.
// The square of a value that lies evenly within t of nought has the standard
// deviation t*t*sqrt(4/45).
func (c *collector) angle(s procedure.Step) {
	tolerance := float(s.Angle.Tolerance) * math.Pi / 180
	c.either(s.Name+": angle", tolerance, -c.value*math.Tan(float(s.Angle.Degrees)*math.Pi/180))
	c.add(s.Name+": angle, second order", tolerance*tolerance*math.Sqrt(4.0/45)/2, uncertainty.Rectangular, 0, c.value)
}

// plain is a plain number as a float.
func plain(l gauge.Length) float64 { return float64(l) / float64(gauge.One.Size()) }

// parts adds what is not known of the parts that a name stands for: by the instrument
// with which one was measured, else by what is stated of each piece.
func (c *collector) parts(name string) {
	for _, in := range c.d.Parts(name) {
		c.part(in.With)
		in.EachStated(func(called string, half *big.Rat) { c.either(called+": tolerance", float(half), 1) })
	}
}
