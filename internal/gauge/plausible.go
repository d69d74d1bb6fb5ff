package gauge

// What an expansion is believed up to, in One: 1e-6/K. Common practice, no source: the
// metals of gauges and masters end at zinc, 30; a part may be of a polymer.
const (
	MostExpansion     = 30 * Length(1e9)
	MostPartExpansion = 200 * Length(1e9)
	leastExpansion    = Length(1e7) // 0.01: what is less, and not 0, is in another unit
)

// Plausible says what is not believed of an expansion: one in 1/K, or by a decimal point off.
func (x Expansion) Plausible(most Length) error {
	number := func(name string, l Length) Arg { return Shown(name, l.TextIn(One), UnitUnknown) }
	switch {
	case x.PerKelvin < 0 || x.PerKelvin > most:
		return WrongInput("refusal.believed.expansion", number("given", x.PerKelvin), number("highest", most))
	case x.PerKelvin > 0 && x.PerKelvin < leastExpansion:
		return WrongInput("refusal.believed.expansion-unit")
	case x.Tolerance != nil && *x.Tolerance > most:
		return WrongInput("refusal.believed.expansion-tolerance", number("given", *x.Tolerance), number("highest", most))
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
		return WrongInput("refusal.believed.coverage", Shown("given", e.K.TextIn(One), UnitUnknown))
	}
	return nil
}
