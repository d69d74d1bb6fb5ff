package check

import (
	"math"
	"math/big"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// expansions are those of master and scale; what is not stated is taken as it is in
// jobs: see gauge.ExpansionOf.
func (in Input) expansions(m Master) (master, scale gauge.Expansion) {
	master, _ = gauge.ExpansionOf(m.Expansion)
	scale, _ = gauge.ExpansionOf(in.Ability.Expansion)
	return master, scale
}

// reference is what a gauge without error shows at the master: its length at the
// temperature, measured with a scale that has expanded too. Two lengths L and
// scales with coefficients a and b give L (1 + (a - b) t), to first order.
func (in Input) reference(m Master) gauge.Length {
	if in.Temperature == nil {
		return m.Value
	}
	master, scale := in.expansions(m)
	return m.Value + grown(m.Value, master.PerKelvin-scale.PerKelvin, in.Temperature.Above)
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

// unstated is how far off the reference may be because the temperature is known, and the
// expansion of master or scale is not stated; nil where that does nothing.
func (in Input) unstated(m Master) *gauge.Length {
	if in.Temperature == nil {
		return nil
	}
	off := gauge.Length(0)
	for _, stated := range []*gauge.Expansion{m.Expansion, in.Ability.Expansion} {
		if x, known := gauge.ExpansionOf(stated); !known {
			off += grown(m.Value, *x.Tolerance, in.Temperature.Above.Abs()).Abs()
		}
	}
	if off == 0 {
		return nil
	}
	return &off
}

// thermal gives what the temperature leaves in doubt (JCGM 100:2008, H.1.3): its own
// uncertainty and those of the coefficients, each also where both are uncertain (the
// second order term of H.1.7).
func (in Input) thermal(m Master, add func(name string, halfWidth float64, d uncertainty.Distribution)) {
	t := in.Temperature
	if t == nil {
		return
	}
	length, above := m.Value.Metres()*1e-6, one(t.Above)
	master, scale := in.expansions(m)
	add("temperature", length*one(master.PerKelvin-scale.PerKelvin)*one(t.Tolerance), uncertainty.Rectangular)
	for _, x := range []gauge.Expansion{master, scale} {
		if x.Tolerance != nil {
			add("expansion", length*one(*x.Tolerance)*math.Hypot(above, one(t.Tolerance)/math.Sqrt(3)), uncertainty.Rectangular)
		}
	}
}
