package check

import (
	"fmt"

	"gauged/internal/gauge"
)

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
		return fmt.Errorf("a shop with %s degC is not believed: it has from -10 to 45 degC; is it in degrees Fahrenheit?", (t.Above + reference).TextIn(gauge.DegreeCelsius))
	case t.Tolerance > loosest:
		return fmt.Errorf("a tolerance of %s K is not believed: it is at most 20 K", t.Tolerance.TextIn(gauge.Kelvin))
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
		return fmt.Errorf("an uncertainty of %s mm of a master of %s mm is not believed: is the unit right, and the decimal point?",
			m.Certified.Uncertainty.TextIn(gauge.Millimetre), m.Value.TextIn(gauge.Millimetre))
	}
	return nil
}

// Believed says of a reading at a master that is [FarOff] what to do.
func Believed(reading, value gauge.Length) error {
	if !FarOff(reading, value) {
		return nil
	}
	return fmt.Errorf("a reading of %s mm at a master of %s mm is not believed: another master, another unit or a preset is likelier than such an error; correct it, or leave it out",
		reading.TextIn(gauge.Millimetre), value.TextIn(gauge.Millimetre))
}
