package gauge

import (
	"errors"
	"fmt"
)

// What an expansion is believed up to, in One: 1e-6/K. Common practice, no source: the
// metals of gauges and masters end at zinc, 30; a part may be of a polymer.
const (
	MostExpansion     = 30 * Length(1e9)
	MostPartExpansion = 200 * Length(1e9)
	leastExpansion    = Length(1e7) // 0.01: what is less, and not 0, is in another unit
)

// Plausible says what is not believed of an expansion: one in 1/K, or by a decimal point off.
func (x Expansion) Plausible(most Length) error {
	number := func(l Length) string { return l.TextIn(One) }
	switch {
	case x.PerKelvin < 0 || x.PerKelvin > most:
		return fmt.Errorf("an expansion of %s x 1e-6/K is not believed: it is from 0 to %s, steel has 11.5", number(x.PerKelvin), number(most))
	case x.PerKelvin > 0 && x.PerKelvin < leastExpansion:
		return errors.New("an expansion below 0.01 x 1e-6/K is not believed: it is written in 1e-6/K, so that steel has 11.5")
	case x.Tolerance != nil && *x.Tolerance > most:
		return fmt.Errorf("a tolerance of %s x 1e-6/K of an expansion is not believed: it is at most %s", number(*x.Tolerance), number(most))
	}
	return nil
}

// The bounds of a coverage factor; common practice, no source.
const (
	leastCoverage = Length(1e9)
	mostCoverage  = Length(10e9)
)

// Plausible says what is not believed of an expanded uncertainty: its coverage factor.
func (e Expanded) Plausible() error {
	if e.K < leastCoverage || e.K > mostCoverage {
		return fmt.Errorf("the coverage factor k is %s: it is from 1 to 10, mostly 2; are k and the uncertainty exchanged?", e.K.TextIn(One))
	}
	return nil
}
