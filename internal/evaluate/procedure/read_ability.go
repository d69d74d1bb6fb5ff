package procedure

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
	"gauged/internal/uncertainty"
)

// abilities reads what is known of the instruments.
func (r *procedureReader) abilities(m *shopfile.Map) {
	v := m.Get("instruments")
	if !v.Given() {
		return
	}
	r.p.Instruments = map[string]gauge.Ability{}
	for _, e := range v.Map().Names() {
		r.p.Instruments[e.Key.Text()] = r.ability(e.Value)
	}
}

func (r *procedureReader) ability(v shopfile.Value) gauge.Ability {
	m := v.Map()
	unit := r.p.Unit
	if other := m.Get("unit"); other.Given() {
		unit = other.AnyUnit()
	}
	a := m.Ability(unit)
	m.Done()
	if v.IsMap() && !a.Stated() {
		v.Wrong(gauge.Say("entry.ability-nothing"))
	}
	return a
}

// either reads a plain number that must not be negative; nil when not given.
func (r *procedureReader) either(v shopfile.Value) *big.Rat {
	if !v.Given() {
		return nil
	}
	n := decimal(v)
	if n.Sign() < 0 {
		v.Wrong(gauge.Say("entry.tolerance-negative", v.As("value")))
	}
	return n
}

// stepDoubts reads what makes a reading differ from the dimension.
func (r *procedureReader) stepDoubts(m *shopfile.Map, s *Step) {
	if angle := m.Get("angle"); angle.Given() {
		s.Angle = r.angle(angle)
	}
	if misaligned := m.Get("misaligned"); misaligned.Given() {
		s.Misaligned = &Misalignment{Degrees: r.either(misaligned)}
		if s.Misaligned.Degrees.Cmp(steepest) > 0 {
			misaligned.Wrong(gauge.Say("entry.out-of-line", misaligned.As("value")))
			s.Misaligned.Degrees = new(big.Rat)
		}
		mean := formula.Cosine(s.Misaligned.Degrees)
		s.Misaligned.Mean = mean.Add(mean, big.NewRat(1, 1)).Quo(mean, big.NewRat(2, 1))
	}
	s.Material = m.Get("expansion").Expansion(gauge.MostPartExpansion)
	if a, ok := r.p.Instruments[s.Instrument]; ok && a.Stated() && formula.DimensionOf(a.Unit) != formula.DimensionOf(s.Unit) {
		m.Get("instrument").Wrong(gauge.Say("entry.instrument-kind", shopfile.Quoted("instrument", s.Instrument), gauge.Word("measures", formula.DimensionOf(a.Unit).Word()), gauge.Word("readings", formula.DimensionOf(s.Unit).Word())))
	}
}

// steepest bounds angles, in degrees: beyond it a cosine correction says little.
var steepest = big.NewRat(60, 1)

func (r *procedureReader) angle(v shopfile.Value) *Angle {
	a := &Angle{}
	if v.IsMap() {
		m := v.Map()
		a.Degrees, a.Tolerance = r.either(m.Need("degrees")), r.either(m.Get("tolerance"))
		m.Done()
	} else {
		a.Degrees = r.either(v)
	}
	if a.Degrees == nil || a.Degrees.Cmp(steepest) > 0 {
		v.Wrong(gauge.Say("entry.angle"))
		a.Degrees = new(big.Rat)
	}
	if a.Tolerance != nil && a.Tolerance.Cmp(steepest) > 0 {
		v.Wrong(gauge.Say("entry.angle-unknown"))
		a.Tolerance = new(big.Rat)
	}
	a.Cosine = formula.MeanCosine(a.Degrees, a.Tolerance)
	return a
}

// constantDoubts reads how far a constant may be off.
func (r *procedureReader) constantDoubts(m *shopfile.Map, c *Constant) {
	tolerance, distribution := m.Get("tolerance"), m.Get("distribution")
	if distribution.Given() {
		c.Doubt.Distribution = distribution.OneOf("rectangular", "triangular", "u-shaped", "normal")
		if !tolerance.Given() {
			distribution.Wrong(gauge.Say("entry.distribution-alone"))
		}
	}
	if k := m.Get("k"); k.Given() {
		if c.Doubt.K = r.either(k); c.Doubt.Distribution != "normal" || c.Doubt.K.Sign() == 0 {
			k.Wrong(gauge.Say("entry.k-alone"))
		}
	}
	if freedom := m.Get("freedom"); freedom.Given() {
		c.Doubt.Freedom = freedom.Int(1, 1_000_000)
	}
	if !tolerance.Given() {
		return
	}
	n := r.either(tolerance)
	if c.Unit.Known() {
		size := formula.Exact(c.Unit.Size(), c.Unit)
		c.Doubt.Tolerance = n.Mul(n, size)
	} else if _, size, err := formula.ParseUnits(m.Get("unit").Text()); err == nil {
		c.Doubt.Tolerance = n.Mul(n, size)
	}
}

// temperature reads at what temperature the work is done, when the names of
// measurements are known.
func (r *procedureReader) temperature(v shopfile.Value) {
	if !v.Given() {
		return
	}
	m := v.Map()
	t := &Temperature{Tolerance: r.either(m.Get("tolerance")), Apart: r.either(m.Get("apart"))}
	if is := m.Need("is"); looksLikeNumber(is.Text()) && is.Given() {
		t.Of = formula.Fixed(is.Text(), formula.Exact(is.Length(gauge.DegreeCelsius), gauge.DegreeCelsius), formula.Temperature)
	} else {
		t.Of = r.formula(is, &formula.Temperature)
		r.readsTemperature(is)
	}
	m.Done()
	r.p.Temperature = t
}

// decision reads how limits are applied.
func (r *procedureReader) decision(v shopfile.Value) {
	d := &r.p.Decide
	d.Required = 9500
	switch {
	case v.IsMap():
		m := v.Map()
		guard := m.Need("guard band")
		d.Stated, d.Required = true, probability(guard)
		if l := guard.Length(gauge.One); l <= gauge.One.Size()/2 || l >= gauge.One.Size() {
			guard.Wrong(gauge.Say("entry.guard"))
		}
		m.Done()
	case v.Given():
		d.Stated = true
		d.Simple = v.OneOf("simple acceptance", "guard band") == "simple acceptance"
	}
}

// coverage reads the level of confidence of expanded uncertainties.
func (r *procedureReader) coverage(v shopfile.Value) {
	r.p.Coverage = UsualCoverage
	if !v.Given() {
		return
	}
	l := v.Length(gauge.One)
	if l < gauge.One.Size()/2 || l >= gauge.One.Size() {
		v.Wrong(gauge.Say("entry.confidence"))
		return
	}
	r.p.Coverage = probability(v)
}

// probability reads a number from 0 to 1 with what a uncertainty.Probability can hold.
func probability(v shopfile.Value) uncertainty.Probability {
	l, step := v.Length(gauge.One), gauge.One.Size()/gauge.Length(uncertainty.Certain)
	if l%step != 0 {
		v.Wrong(gauge.Say("entry.probability-digits", v.As("value")))
	}
	return uncertainty.Probability(l / step)
}

// UsualCoverage is the level of confidence of expanded uncertainties.
const UsualCoverage uncertainty.Probability = 9500
