package evaluate

import (
	"cmp"
	"fmt"
	"math"
	"math/big"

	"gauged/internal/evaluate/uncertainty"
	"gauged/internal/gauge"
	"gauged/internal/statistics"
)

// pooledBelow is the number of own readings below which the usual scatter of
// the gauge, where it is known, says more than they do.
const pooledBelow = 5

// inputs lists everything that makes a result uncertain, each with the change
// of the result per change of the input. An input that several measurements
// share, such as the temperature, stands once.
func (d *doubts) inputs(x *Expression) ([]uncertainty.Input, []float64) {
	s := newSlopes(d.w)
	of := s.formula(x)
	most := 4 * len(s.leaves) // inputs of most measurements
	c := &collector{w: d.w, at: make(map[string]int, most), inputs: make([]uncertainty.Input, 0, most), slopes: make([]float64, 0, most)}
	for i, l := range s.leaves {
		if i >= len(of.by) || of.by[i] == 0 {
			continue
		}
		if step, _, ok := d.w.p.Step(l.name); ok {
			c.step(step, l.take, of.by[i])
		} else {
			c.constant(l.name, of.by[i])
		}
	}
	return c.inputs, c.slopes
}

// collector gathers the inputs of a budget.
type collector struct {
	w      *work
	inputs []uncertainty.Input
	slopes []float64
	at     map[string]int // index by name
}

// add puts an input in, or adds to the slope of one that is there.
func (c *collector) add(name string, standard float64, shape uncertainty.Distribution, nu int, slope float64) {
	if standard == 0 || slope == 0 {
		return
	}
	if i, ok := c.at[name]; ok {
		c.slopes[i] += slope
		return
	}
	c.at[name] = len(c.inputs)
	c.inputs = append(c.inputs, uncertainty.Input{Name: name, Standard: standard, Distribution: shape, Freedom: float64(nu)})
	c.slopes = append(c.slopes, slope)
}

// either adds an input that may be off by so much either way.
func (c *collector) either(name string, halfWidth float64, slope float64) {
	c.add(name, uncertainty.FromHalfWidth(halfWidth, uncertainty.Rectangular), uncertainty.Rectangular, 0, slope)
}

func (c *collector) constant(name string, slope float64) {
	for _, k := range c.w.p.Constants {
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
			c.add(name+": tolerance", uncertainty.FromExpanded(tolerance, deviations), uncertainty.Normal, k.Doubt.Freedom, slope)
		default:
			shape := uncertainty.Distribution(cmp.Or(k.Doubt.Distribution, string(uncertainty.Rectangular)))
			c.add(name+": tolerance", uncertainty.FromHalfWidth(tolerance, shape), shape, k.Doubt.Freedom, slope)
		}
	}
}

// step adds what makes one measurement uncertain. A statistic of extremes is
// that of single readings, whose own scatter is what they measure.
func (c *collector) step(s Step, take Take, slope float64) {
	if len(s.Codes) > 0 {
		return
	}
	a := c.w.ability(s)
	unit := 1.0 // of what is stated of the gauge, to compute with
	if s.Unit.Kind() != gauge.KindLength && a.Unit.Known() {
		unit = float(scaleOf(a.Unit))
	}
	factor := c.corrections(s, slope) * slope
	name, key := s.Name, openKey{step: s.Name}
	if take != s.Take {
		name, key.take = string(take)+" of "+s.Name, take
	}
	if o, ok := c.w.open[key]; ok {
		c.either(name+": between the blades", (float(o.high)-float(o.low))/2, slope)
	} else {
		c.repeats(name, s, take, a, unit, factor)
	}
	if a.Error != nil {
		c.either(name+": error of the gauge", float64(*a.Error)*unit, factor)
	}
	if off := c.w.in.TakenOff[s.Name]; off != 0 && take != TakeRange { // in a range it cancels
		c.add("error taken off", 1, uncertainty.Normal, 0, factor*float64(off))
	}
	if k := a.Calibration; k != nil {
		c.add(name+": calibration", uncertainty.FromExpanded(float64(k.Uncertainty)*unit, plain(k.K)), uncertainty.Normal, 0, factor)
	}
}

// repeats adds the scatter of the readings and the step of the display.
func (c *collector) repeats(name string, s Step, take Take, a gauge.Ability, unit, factor float64) {
	readings := 1.0 // how many share the scatter
	ends := 1.0     // how many single readings the statistic is made of
	list := c.w.v.readings[s.Name]
	n := len(list.of)
	switch take {
	case TakeRange:
		ends = math.Sqrt2
	case TakeSmallest, TakeLargest:
	default:
		readings = float64(max(n, 1))
	}
	// A median scatters sqrt(pi/2) times as much as a mean of normal readings.
	if take == TakeMedian && n > 2 {
		ends = math.Sqrt(math.Pi / 2)
	}
	own := take != TakeRange && take != TakeSmallest && take != TakeLargest && n > 1
	switch {
	case a.Repeats != nil && (!own || n < pooledBelow):
		c.add(name+": repeatability, pooled", float64(a.Repeats.Deviation)*unit*ends/math.Sqrt(readings), uncertainty.Student, a.Repeats.Freedom, factor)
	case own:
		_, sd := statistics.MeanStdDev(statistics.FromFirst(list.of))
		if s.Unit.Kind() != gauge.KindLength {
			sd *= float(scaleOf(s.Unit))
		}
		c.add(name+": repeatability", sd*ends/math.Sqrt(readings), uncertainty.Student, n-1, factor)
	}
	if a.Resolution != nil {
		c.add(name+": resolution", uncertainty.Resolution(float64(*a.Resolution)*unit)*ends, uncertainty.Rectangular, 0, factor)
	}
}

// corrections adds what makes the corrections of a measurement uncertain and
// returns the factor by which its readings were multiplied.
func (c *collector) corrections(s Step, slope float64) (factor float64) {
	factor = 1
	value := 0.0
	if r := c.w.v.of[s.Name]; r != nil {
		value = float(r)
	}
	if s.Angle != nil {
		factor *= float(s.Angle.Cosine)
		if s.Angle.Tolerance != nil {
			radians := float(s.Angle.Tolerance) * math.Pi / 180
			c.either(s.Name+": angle", radians, -slope*value*math.Tan(float(s.Angle.Degrees)*math.Pi/180))
		}
	}
	if s.Misaligned != nil {
		// The reading may be longer than the dimension, by up to 1/cos - 1; not
		// corrected, it counts in full either way (compare JCGM 100, F.2.4.4).
		c.either(s.Name+": out of line", math.Abs(value)*(1/math.Cos(float(s.Misaligned)*math.Pi/180)-1), slope)
	}
	c.thermal(s, value, slope)
	return factor
}

// plain is a plain number as a float.
func plain(l gauge.Length) float64 { return float64(l) / float64(gauge.One.Size()) }

// thermal adds the uncertainty of the correction to 20 degC, as JCGM 100 H.1
// does for a gauge block: expansion of part and scale, temperature, and the
// difference between the two. Without that of the scale nothing was corrected, and
// the largest difference from one that is not stated counts.
func (c *collector) thermal(s Step, value, slope float64) {
	t := c.w.p.Temperature
	if t == nil || s.Material == nil {
		return
	}
	warmer, err := c.w.warmer()
	if err != nil {
		return
	}
	const perMillion = 1e-6
	part, scale := s.Material, c.w.ability(s).Expansion
	if scale == nil {
		off := float(warmer)
		if t.Tolerance != nil {
			off = math.Hypot(off, float(t.Tolerance)/math.Sqrt(3))
		}
		// One scale for all that it measures: what a difference cancels, cancels.
		of := fmt.Sprintf("expansion of the %s, not stated (part %g)", cmp.Or(s.Instrument, "gauge of "+s.Name), plain(part.PerKelvin))
		c.either(of, plain(part.ApartFromUnstated())*perMillion*off, slope*value)
		return
	}
	relative := plain(part.PerKelvin - scale.PerKelvin)
	if part.Tolerance != nil {
		c.either(s.Name+": expansion of the part", plain(*part.Tolerance), -slope*value*float(warmer)*perMillion)
	}
	if scale.Tolerance != nil {
		c.either("expansion of the "+s.Instrument, plain(*scale.Tolerance), slope*value*float(warmer)*perMillion)
	}
	if t.Tolerance != nil {
		c.either("temperature", float(t.Tolerance), -slope*value*relative*perMillion)
	}
	if t.Apart != nil {
		c.either(s.Name+": temperature apart from the gauge's", float(t.Apart), -slope*value*plain(part.PerKelvin)*perMillion)
	}
}

// notAtTwenty says that a measurement stays as it was read, and by how much it may
// be off.
func (w *work) notAtTwenty(s Step, value, warmer *big.Rat) {
	off := exact(s.Material.ApartFromUnstated(), gauge.One)
	off.Mul(off, warmer).Mul(off, perMillion).Mul(off, value).Abs(off)
	l, err := inUnit(off, s.Unit)
	if err != nil || l == 0 {
		return
	}
	of := "its gauge"
	if s.Instrument != "" {
		of = "the " + s.Instrument
	}
	w.find(FindingUnstated, "%s is not corrected to 20 degC: the expansion of its part is stated, that of the scale of %s is not. Up to %s either way count as uncertainty; state expansion among what is known of the gauge",
		s.Name, of, w.p.showIn(threeDigits(float64(l)), s.Unit))
}
