package doubt

import (
	"cmp"
	"math"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// ofGauge adds what is wrong with the gauge itself and the same whenever it
// measures: its error, within the maximum permissible one, and what its
// calibration left open. All measurements of one gauge share them (JCGM 100,
// F.1.2.3), and the two ends of a range do. By how much the error varies along the
// range is each place's own; what all share is the rest, so that a single one is as
// uncertain as before. Where that is not stated, the error bounds a difference too.
func (c *collector) ofGauge(name string, s procedure.Step, take procedure.Take, a gauge.Ability, unit, factor float64) {
	permissible, certificate, varies := 0.0, 0.0, 0.0
	if a.Varies != nil {
		varies = rectangular(float64(*a.Varies) * unit).Standard
	}
	if a.Error != nil {
		permissible = rectangular(float64(*a.Error) * unit).Standard
	}
	if k := a.Calibration; k != nil {
		certificate = uncertainty.FromExpanded(float64(k.Uncertainty)*unit, plain(k.K))
	}
	if a.Error == nil {
		certificate = without(certificate, varies)
	}
	shape := uncertainty.Rectangular
	if take == procedure.TakeRange {
		shape = uncertainty.Normal // two of them
	}
	c.add(name+": error of the gauge, varying", varies*endsOf(take, 0), shape, 0, factor)
	of := c.d.gaugeOf(s)
	common := uncertainty.Input{Standard: without(permissible, varies), Distribution: uncertainty.Rectangular}
	calibration := uncertainty.Input{Standard: certificate, Distribution: uncertainty.Normal}
	ends := []float64{factor}
	if take == procedure.TakeRange {
		ends = append(ends, -factor)
	}
	for _, by := range ends {
		if i := c.shared(of, name, ofTheGauge, common, by); a.Varies == nil && common.Standard != 0 {
			c.bound(i, by)
		}
		c.shared(of, name, ": calibration", calibration, by)
	}
}

const ofTheGauge = ": error of the gauge"

// largest is the measurement that an error changes most in a result.
type largest struct {
	leaf int
	by   float64 // of the leaf by the error
	all  float64 // of the result by the error
}

// bound notes an error that bounds a difference too.
func (c *collector) bound(i int, by float64) {
	if c.bounded == nil {
		c.bounded = map[int]largest{}
	}
	if all := math.Abs(c.slope * by); all >= c.bounded[i].all {
		c.bounded[i] = largest{c.leaf, by, all}
	}
}

// once lets the maximum permissible error of a gauge count at least once, by the
// place where it changes the result most, where what the measurements share would
// cancel and by how much it varies along the range is not stated: as it bounds the
// error at any place, it bounds the travel between two.
func (c *collector) once() {
	for i := range c.inputs {
		most := c.bounded[i]
		if most.all <= math.Abs(c.slopes[i])*(1+1e-9) {
			continue
		}
		if !c.of.bends {
			c.slopes[i] = math.Copysign(most.all, c.slopes[i])
			c.inputs[i].Name += onlyOnce
			continue
		}
		rest := c.inputs[i] // drawn at the one place beside what is shared
		rest.Name += onlyOnce
		rest.Standard *= without(most.all, c.slopes[i]) / most.all
		c.leaf, c.slope = most.leaf, c.of.by[most.leaf]
		c.put(inputKey{name: rest.Name}, rest, most.by)
	}
}

// without takes an independent part out of a standard uncertainty.
func without(standard, part float64) float64 {
	return math.Sqrt(max(0, standard*standard-part*part))
}

// gaugeKey is a gauge, an instrument of the procedure, or a measurement of its own.
type gaugeKey struct{ kind, name string }

// gaugeOf tells gauges apart: the one that gave the readings, else the one that
// the measurement is bound to, else the instrument that the procedure names. A
// measurement of which nothing of this is known, or with readings of several
// gauges, has an error of its own.
func (d *Doubts) gaugeOf(s procedure.Step) gaugeKey {
	from, known := d.In.Bound[s.Name], false
	for _, r := range d.In.Readings {
		if r.Measurement != s.Name || r.Discarded != "" {
			continue
		}
		of := r.Gauge
		if of == gauge.TypedIn && !d.In.OneTyped {
			of = ""
		}
		of = cmp.Or(of, d.In.Bound[s.Name])
		if known && of != from {
			return gaugeKey{"measurement", s.Name}
		}
		from, known = of, true
	}
	switch {
	case from != "":
		return gaugeKey{"gauge", from}
	case s.Instrument != "":
		return gaugeKey{"instrument", s.Instrument}
	}
	return gaugeKey{"measurement", s.Name}
}
