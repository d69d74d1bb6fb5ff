package shopfile

import (
	"gauged/internal/gauge"
)

// Ability reads what is known of a gauge or an instrument, in unit u: the keys
// resolution, error, varies, calibration, repeatability and expansion.
func (m *Map) Ability(u gauge.Unit) gauge.Ability {
	a := gauge.Ability{Unit: u}
	a.Resolution = m.Get("resolution").above(u)
	a.Error = m.Get("error").above(u)
	varies := m.Get("varies")
	if a.Varies = varies.fromNought(u); a.Varies != nil && a.Error != nil && *a.Varies > *a.Error {
		varies.Wrong(gauge.Say("entry.varies-more", varies.As("value")))
	}
	if calibration := m.Get("calibration"); calibration.Given() {
		cm := calibration.Map()
		uncertainty, k := cm.Need("uncertainty").above(u), cm.Need("k").above(gauge.One)
		if cm.Done(); uncertainty != nil && k != nil {
			a.Calibration = &gauge.Expanded{Uncertainty: *uncertainty, K: *k}
		}
	}
	if repeatability := m.Get("repeatability"); repeatability.Given() {
		rm := repeatability.Map()
		deviation, readings := rm.Need("deviation").above(u), rm.Need("readings").Int(2, 1_000_000)
		if rm.Done(); deviation != nil && readings > 1 {
			a.Repeats = &gauge.Pooled{Deviation: *deviation, Freedom: readings - 1}
		}
	}
	if a.Varies != nil && a.Error == nil && a.Calibration == nil {
		varies.Wrong(gauge.Say("entry.varies-alone"))
	}
	a.Expansion = m.Get("expansion").Expansion(gauge.MostExpansion)
	return a
}

// fromNought reads a value that must not be less than zero; nil when it is not given.
func (v Value) fromNought(u gauge.Unit) *gauge.Length {
	if !v.Given() || !u.Known() {
		return nil
	}
	l, ok := v.TryLength(u)
	if ok && l < 0 {
		v.Wrong(gauge.Say("entry.below-zero", v.As("value")))
	}
	return &l
}

// above reads a value that must be greater than zero; nil when it is not given.
func (v Value) above(u gauge.Unit) *gauge.Length {
	if !v.Given() || !u.Known() {
		return nil
	}
	l, ok := v.TryLength(u)
	if ok && l <= 0 {
		v.Wrong(gauge.Say("entry.not-above-zero", v.As("value")))
	}
	return &l
}

// Expansion reads a coefficient of thermal expansion in 1e-6/K: a number, or
// value and tolerance, believed up to most; nil when it is not given.
func (v Value) Expansion(most gauge.Length) *gauge.Expansion {
	if !v.Given() {
		return nil
	}
	x := v.expansion()
	if err := x.Plausible(most); err != nil {
		v.Wrong(gauge.Told(err))
	}
	return x
}

func (v Value) expansion() *gauge.Expansion {
	if !v.IsMap() {
		return &gauge.Expansion{PerKelvin: v.Length(gauge.One)}
	}
	m := v.Map()
	x := &gauge.Expansion{PerKelvin: m.Need("value").Length(gauge.One)}
	if tolerance := m.Get("tolerance"); tolerance.Given() {
		l := tolerance.Length(gauge.One)
		if x.Tolerance = &l; l < 0 {
			tolerance.Wrong(gauge.Say("entry.tolerance-negative", tolerance.As("value")))
		}
	}
	m.Done()
	return x
}
