package check

import "gauged/internal/gauge"

// What is believed of a shop: common practice, no source.
const (
	coldest = -30 * gauge.Length(1e9) // from 20 degC: -10 degC
	hottest = 25 * gauge.Length(1e9)  // 45 degC
	loosest = 20 * gauge.Length(1e9)  // tolerance, in kelvin
)

// Plausible says what is not believed of a temperature of a shop.
func (t Temperature) Plausible() error {
	const reference = 20 * gauge.Length(1e9)
	switch {
	case t.Above < coldest || t.Above > hottest:
		return gauge.WrongInput("refusal.believed.temperature", shown("given", t.Above+reference, gauge.DegreeCelsius))
	case t.Tolerance > loosest:
		return gauge.WrongInput("refusal.believed.temperature-tolerance", shown("given", t.Tolerance, gauge.Kelvin))
	}
	return nil
}

// PlausibleCertificate says what is not believed of the uncertainty of its certificate: a
// coverage factor that is none, or an uncertainty above 0.1 mm and a hundredth of the value
// (ours).
func (m Master) PlausibleCertificate() error {
	if m.Certified == nil {
		return nil
	}
	if err := m.Certified.Plausible(); err != nil {
		return err
	}
	if most := max(farOffLeast, m.Value.Abs()/100); m.Certified.Uncertainty > most {
		return gauge.WrongInput("refusal.believed.master", Shown("given", m.Certified.Uncertainty), Shown("value", m.Value))
	}
	return nil
}

// Believed says of a reading at a master that is [FarOff] what to do.
func Believed(reading, value gauge.Length) error {
	if !FarOff(reading, value) {
		return nil
	}
	return gauge.WrongInput("refusal.believed.reading", Shown("given", reading), Shown("value", value))
}

// Shown is a length of a check in a message.
func Shown(name string, l gauge.Length) gauge.Arg { return shown(name, l, gauge.Millimetre) }

func shown(name string, l gauge.Length, u gauge.Unit) gauge.Arg {
	return gauge.Shown(name, l.TextIn(u), u)
}
