package evaluate

import (
	"cmp"
	"fmt"
	"math"
	"math/big"

	"gauged/internal/evaluate/uncertainty"
	"gauged/internal/gauge"
)

// perMillionth is what expansions are stated in.
const perMillionth = 1e-6

// thermal adds the uncertainty of the correction to 20 degC, as JCGM 100 H.1
// does for a gauge block: expansion of part and scale, temperature, and the
// difference between the two. Without that of the scale nothing was corrected, and
// the largest difference from one that is not stated counts.
func (c *collector) thermal(s Step) {
	t := c.w.p.Temperature
	if t == nil || s.Material == nil {
		return
	}
	warmer, err := c.w.warmer()
	if err != nil {
		return
	}
	part, scale := s.Material, c.w.ability(s).Expansion
	length := c.value * perMillionth
	if scale == nil {
		off := float(warmer)
		if t.Tolerance != nil {
			off = math.Hypot(off, float(t.Tolerance)/math.Sqrt(3))
		}
		// One scale for all that it measures: what a difference cancels, cancels.
		in := rectangular(plain(part.ApartFromUnstated()) * off)
		in.Name = fmt.Sprintf("expansion of the %s, not stated (part %g)", cmp.Or(s.Instrument, "gauge of "+s.Name), plain(part.PerKelvin))
		c.put(inputKey{"expansion", c.w.gaugeOf(s), in.Standard}, in, length)
		return
	}
	relative := plain(part.PerKelvin - scale.PerKelvin)
	if part.Tolerance != nil {
		c.either(s.Name+": expansion of the part", plain(*part.Tolerance), -length*float(warmer))
	}
	if scale.Tolerance != nil {
		in := rectangular(plain(*scale.Tolerance))
		in.Name = "expansion of the " + cmp.Or(s.Instrument, "gauge of "+s.Name)
		c.put(inputKey{"expansion", c.w.gaugeOf(s), in.Standard}, in, length*float(warmer))
	}
	if t.Tolerance != nil {
		c.either("temperature", float(t.Tolerance), -length*relative)
	}
	if t.Apart != nil {
		c.either(s.Name+": temperature apart from the gauge's", float(t.Apart), -length*plain(part.PerKelvin))
	}
	c.together(s, length)
}

// together adds the products of an expansion and a temperature that are both not
// exactly known, which have no slope where the temperature is 20 degC (the second
// order terms of JCGM 100, H.1.7).
func (c *collector) together(s Step, length float64) {
	of := func(x *gauge.Expansion) float64 {
		if x == nil || x.Tolerance == nil {
			return 0
		}
		return rectangular(plain(*x.Tolerance)).Standard
	}
	in := func(kelvins *big.Rat) float64 {
		if kelvins == nil {
			return 0
		}
		return rectangular(float(kelvins)).Standard
	}
	part, scale := of(s.Material), of(c.w.ability(s).Expansion)
	degrees, apart := in(c.w.p.Temperature.Tolerance), in(c.w.p.Temperature.Apart)
	c.add(s.Name+": expansion and temperature together", math.Hypot(math.Hypot(part, scale)*degrees, part*apart), uncertainty.Normal, 0, length)
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
