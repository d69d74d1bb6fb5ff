package evaluate

import (
	"cmp"
	"math"

	"gauged/internal/evaluate/uncertainty"
	"gauged/internal/gauge"
)

// ofGauge adds what is wrong with the gauge itself and the same whenever it
// measures: its error, within the maximum permissible one, and what its
// calibration left open. All measurements of one gauge share them (JCGM 100,
// F.1.2.3). By how much the error varies along the range is each measurement's
// own; what all share is the rest, so that a single one is as uncertain as before.
func (c *collector) ofGauge(name string, s Step, take Take, a gauge.Ability, unit, factor float64) {
	if a.Error == nil && a.Calibration == nil {
		return
	}
	varies := 0.0
	if a.Varies != nil {
		varies = rectangular(float64(*a.Varies) * unit).Standard
	}
	if take == TakeRange {
		c.travel(name, a, unit, varies, factor)
		return
	}
	permissible, certificate := 0.0, 0.0
	if a.Error != nil {
		permissible = rectangular(float64(*a.Error) * unit).Standard
	}
	if k := a.Calibration; k != nil {
		certificate = uncertainty.FromExpanded(float64(k.Uncertainty)*unit, plain(k.K))
	}
	c.add(name+": error of the gauge, varying", varies, uncertainty.Rectangular, 0, factor)
	common := uncertainty.Input{Standard: without(permissible, varies), Distribution: uncertainty.Rectangular}
	of := c.w.gaugeOf(s)
	c.shared(of, name, ": error of the gauge", common, factor)
	if a.Error == nil {
		certificate = without(certificate, varies)
	}
	c.shared(of, name, ": calibration", uncertainty.Input{Standard: certificate, Distribution: uncertainty.Normal}, factor)
}

// travel adds the error of a way that one gauge measures between two places: what
// both share cancels, and at each end it varies. Where that is not stated, the
// maximum permissible error bounds the way, as it does that of an indicator.
func (c *collector) travel(name string, a gauge.Ability, unit, varies, factor float64) {
	switch {
	case a.Varies != nil:
		c.add(name+": error of the gauge, varying", varies*math.Sqrt2, uncertainty.Normal, 0, factor)
	case a.Error != nil:
		c.either(name+": error of the gauge", float64(*a.Error)*unit, factor)
	default:
		k := a.Calibration
		c.add(name+": calibration", uncertainty.FromExpanded(float64(k.Uncertainty)*unit, plain(k.K)), uncertainty.Normal, 0, factor)
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
func (w *work) gaugeOf(s Step) gaugeKey {
	from, known := w.in.Bound[s.Name], false
	for _, r := range w.in.Readings {
		if r.Measurement != s.Name || r.Discarded != "" {
			continue
		}
		of := cmp.Or(r.Gauge, w.in.Bound[s.Name])
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
