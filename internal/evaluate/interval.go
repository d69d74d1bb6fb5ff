package evaluate

import (
	"math/big"

	"gauged/internal/gauge"
)

// openValue is a measurement, or a part of a formula, that is known only to lie
// between two ends, as a feeler gauge leaves it.
type openValue struct{ low, high *big.Rat }

// openKey names a measurement, or with take a statistic of its readings that a
// formula asks for, such as range(lash).
type openKey struct {
	step string
	take Take
}

// between computes between which ends an expression lies when measurements are
// intervals; nil when none of them matters. Each interval is taken at the end
// that moves the result, which is exact where the result rises or falls
// steadily with it, as sums, products, quotients and extremes do. A measurement
// and a statistic of its readings count as independent, which is never too narrow.
func (w *work) between(x *Expression, u gauge.Unit) (*Limits, error) {
	if len(w.open) == 0 {
		return nil, nil
	}
	if w.stepped(x) {
		return w.betweenSteps(x, u)
	}
	low, high := map[openKey]*big.Rat{}, map[openKey]*big.Rat{}
	for name, o := range w.open {
		atLow, err := w.at(x, map[openKey]*big.Rat{name: o.low})
		if err != nil {
			return nil, err
		}
		atHigh, err := w.at(x, map[openKey]*big.Rat{name: o.high})
		if err != nil {
			return nil, err
		}
		switch atLow.Cmp(atHigh) {
		case -1:
			low[name], high[name] = o.low, o.high
		case 1:
			low[name], high[name] = o.high, o.low
		}
	}
	if len(low) == 0 {
		return nil, nil
	}
	var ends Limits
	for _, end := range []struct {
		at map[openKey]*big.Rat
		to **gauge.Length
	}{{low, &ends.Min}, {high, &ends.Max}} {
		r, err := w.at(x, end.at)
		if err != nil {
			return nil, err
		}
		l, err := inUnit(r, u)
		if err != nil {
			return nil, err
		}
		*end.to = &l
	}
	return &ends, nil
}

// betweenSteps is between for an expression that looks something up or rounds.
func (w *work) betweenSteps(x *Expression, u gauge.Unit) (*Limits, error) {
	s, err := (&ender{w, map[string]openValue{}}).ends(x.root)
	if err != nil || s.low.Cmp(s.high) == 0 {
		return nil, err
	}
	low, err := inUnit(s.low, u)
	if err != nil {
		return nil, err
	}
	high, err := inUnit(s.high, u)
	return &Limits{&low, &high}, err
}

// at computes an expression with other values of some measurements.
func (w *work) at(x *Expression, other map[openKey]*big.Rat) (*big.Rat, error) {
	v := values{of: map[string]*big.Rat{}, readings: w.v.readings, marks: w.v.marks, taken: other}
	for name, r := range w.v.of {
		v.of[name] = r
	}
	for key, r := range other {
		if key.take == "" {
			v.of[key.step] = r
		}
	}
	for _, named := range [][]Named{w.p.Values, w.p.Proven} {
		for _, n := range named {
			if _, known := w.v.of[n.Name]; !known {
				continue
			}
			if formula, ok := w.formula(n); ok {
				r, err := formula.value(&v)
				if err != nil {
					return nil, err
				}
				v.of[n.Name] = r
			}
		}
	}
	return x.value(&v)
}

// within compares an interval, or a single value, with limits: inside, outside,
// or neither because a limit lies within the interval.
func within(value gauge.Length, between *Limits, allowed Limits) Outcome {
	if between == nil {
		if allowed.Contains(value) {
			return Conforms
		}
		return DoesNotConform
	}
	switch {
	case allowed.Contains(*between.Min) && allowed.Contains(*between.Max):
		return Conforms
	case allowed.Max != nil && *between.Min > *allowed.Max, allowed.Min != nil && *between.Max < *allowed.Min:
		return DoesNotConform
	}
	return Undecided
}
