package check

import (
	"math"
	"math/big"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// reference is what a gauge without error shows at the master: its length at the
// temperature, measured with a scale that has expanded too. Two lengths L and
// scales with coefficients a and b give L (1 + (a - b) t), to first order. Without
// both coefficients nothing is corrected.
func (in Input) reference(m Master) gauge.Length {
	if in.Temperature == nil || m.Expansion == nil || in.Ability.Expansion == nil {
		return m.Value
	}
	return m.Value + grown(m.Value, m.Expansion.PerKelvin-in.Ability.Expansion.PerKelvin, in.Temperature.Above)
}

// grown is by how much a length grows with a coefficient in 1e-6/K.
func grown(l, perKelvin, above gauge.Length) gauge.Length {
	growth := new(big.Int).Mul(big.NewInt(int64(perKelvin)), big.NewInt(int64(above)))
	growth.Mul(growth, big.NewInt(int64(l)))
	// Both factors count 1e-9, and the coefficient 1e-6.
	change, err := gauge.RoundRat(new(big.Rat).SetFrac(growth, new(big.Int).Exp(big.NewInt(10), big.NewInt(24), nil)))
	if err != nil {
		return 0 // beyond a kilometre: no such master
	}
	return change
}

// unstated is the largest difference between the expansions of master and scale
// where one or both are not stated, and the shape of what is known of it.
func (in Input) unstated(m Master) (perKelvin gauge.Length, d uncertainty.Distribution) {
	switch scale := in.Ability.Expansion; {
	case m.Expansion == nil && scale == nil:
		return gauge.LargestExpansion, uncertainty.Triangular // the difference of two that may be anything
	case m.Expansion == nil:
		return scale.ApartFromUnstated(), uncertainty.Rectangular
	default:
		return m.Expansion.ApartFromUnstated(), uncertainty.Rectangular
	}
}

// uncorrected is how far off the reference may be because the temperature is known
// and not what it does; nil where that is corrected or does nothing.
func (in Input) uncorrected(m Master) *gauge.Length {
	if in.Temperature == nil || m.Expansion != nil && in.Ability.Expansion != nil {
		return nil
	}
	perKelvin, _ := in.unstated(m)
	off := grown(m.Value, perKelvin, in.Temperature.Above.Abs()).Abs()
	if off == 0 {
		return nil
	}
	return &off
}

// thermal gives what the temperature leaves in doubt (JCGM 100:2008, H.1.3): its own
// uncertainty and those of the coefficients; where a coefficient is not stated, the
// difference of both.
func (in Input) thermal(m Master, add func(name string, halfWidth float64, d uncertainty.Distribution)) {
	t := in.Temperature
	if t == nil {
		return
	}
	length, above := m.Value.Metres()*1e-6, one(t.Above)
	if m.Expansion == nil || in.Ability.Expansion == nil {
		perKelvin, d := in.unstated(m)
		add("expansion not stated", length*one(perKelvin)*math.Hypot(above, one(t.Tolerance)/math.Sqrt(3)), d)
		return
	}
	add("temperature", length*one(m.Expansion.PerKelvin-in.Ability.Expansion.PerKelvin)*one(t.Tolerance), uncertainty.Rectangular)
	for _, x := range []*gauge.Expansion{m.Expansion, in.Ability.Expansion} {
		if x.Tolerance != nil {
			add("expansion", length*above*one(*x.Tolerance), uncertainty.Rectangular)
		}
	}
}
