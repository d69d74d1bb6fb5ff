package doubt

import (
	"cmp"
	"math"
	"math/big"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// perMillionth is what expansions are stated in.
const perMillionth = 1e-6

// thermal adds the uncertainty of the correction to 20 degC, as JCGM 100 H.1
// does for a gauge block: expansion of part and scale, temperature, and the
// difference between the two.
func (c *collector) thermal(s procedure.Step) {
	t := c.d.P.Temperature
	if t == nil || s.Material == nil {
		return
	}
	warmer, err := c.d.Warmer()
	if err != nil {
		return
	}
	part := s.Material
	scale, stated := c.d.Expansion(s)
	length := c.value * perMillionth
	relative := plain(part.PerKelvin - scale.PerKelvin)
	if part.Tolerance != nil {
		c.either(s.Name+": expansion of the part", plain(*part.Tolerance), -length*float(warmer))
	}
	if scale.Tolerance != nil {
		in := rectangular(plain(*scale.Tolerance))
		in.Name = "expansion of the " + cmp.Or(s.Instrument, gaugeOfStep+s.Name)
		if !stated {
			in.Name += ", not stated"
		}
		c.put(inputKey{"expansion", c.d.gaugeOf(s), in.Standard}, in, length*float(warmer))
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
func (c *collector) together(s procedure.Step, length float64) {
	of := func(x gauge.Expansion) float64 {
		if x.Tolerance == nil {
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
	scale, _ := c.d.Expansion(s)
	inPart, inScale := of(*s.Material), of(scale)
	degrees, apart := in(c.d.P.Temperature.Tolerance), in(c.d.P.Temperature.Apart)
	c.add(s.Name+": expansion and temperature together", math.Hypot(math.Hypot(inPart, inScale)*degrees, inPart*apart), uncertainty.Normal, 0, length)
}

// ScaleUnknown says with what expansion of the scale a measurement is corrected,
// where it is not stated, and by how much it may be off.
func (d *Doubts) ScaleUnknown(s procedure.Step, value, warmer *big.Rat) {
	x, _ := d.Expansion(s)
	off := formula.Exact(*x.Tolerance, gauge.One)
	off.Mul(off, warmer).Mul(off, compute.PerMillion()).Mul(off, value).Abs(off)
	l, err := formula.InUnit(off, s.Unit)
	if err != nil || l == 0 {
		return
	}
	args := []gauge.Arg{
		gauge.Text("step", s.Name), gauge.Shown("used", x.PerKelvin.Text(gauge.One, 1), gauge.UnitUnknown),
		gauge.Shown("largest", gauge.LargestExpansion.Text(gauge.One, 0), gauge.UnitUnknown), d.P.TellIn("off", ThreeDigits(float64(l)), s.Unit),
	}
	if s.Instrument != "" {
		args = append(args, gauge.Text("instrument", s.Instrument))
	}
	d.tell(Unstated, "found.expansion_unstated", args...)
}
