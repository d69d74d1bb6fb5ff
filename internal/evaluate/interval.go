package evaluate

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// between computes between which ends an expression lies when measurements are
// intervals; nil when none of them matters. Each interval is taken at the end
// that moves the result, which is exact where the result rises or falls
// steadily with it, as sums, products, quotients and extremes do. A measurement
// and a statistic of its readings count as independent, which is never too narrow.
func (w *work) between(x *formula.Expression, u gauge.Unit) (*procedure.Limits, error) {
	if len(w.open) == 0 {
		return nil, nil
	}
	if w.stepped(x) {
		return w.betweenSteps(x, u)
	}
	low, high := map[formula.Taken]*big.Rat{}, map[formula.Taken]*big.Rat{}
	for name, o := range w.open {
		atLow, err := w.at(x, map[formula.Taken]*big.Rat{name: o.Low})
		if err != nil {
			return nil, err
		}
		atHigh, err := w.at(x, map[formula.Taken]*big.Rat{name: o.High})
		if err != nil {
			return nil, err
		}
		switch atLow.Cmp(atHigh) {
		case -1:
			low[name], high[name] = o.Low, o.High
		case 1:
			low[name], high[name] = o.High, o.Low
		}
	}
	if len(low) == 0 {
		return nil, nil
	}
	var ends procedure.Limits
	for _, end := range []struct {
		at map[formula.Taken]*big.Rat
		to **gauge.Length
	}{{low, &ends.Min}, {high, &ends.Max}} {
		r, err := w.at(x, end.at)
		if err != nil {
			return nil, err
		}
		l, err := formula.InUnit(r, u)
		if err != nil {
			return nil, err
		}
		*end.to = &l
	}
	return &ends, nil
}

// betweenSteps is between for an expression that looks something up or rounds.
func (w *work) betweenSteps(x *formula.Expression, u gauge.Unit) (*procedure.Limits, error) {
	s, err := (&ender{w, map[string]formula.Interval{}}).ends(x.Root)
	if err != nil || s.Low.Cmp(s.High) == 0 {
		return nil, err
	}
	low, err := formula.InUnit(s.Low, u)
	if err != nil {
		return nil, err
	}
	high, err := formula.InUnit(s.High, u)
	return &procedure.Limits{Min: &low, Max: &high}, err
}

// at computes an expression with other values of some measurements.
func (w *work) at(x *formula.Expression, other map[formula.Taken]*big.Rat) (*big.Rat, error) {
	v := formula.Values{Of: map[string]*big.Rat{}, Readings: w.v.Readings, Marks: w.v.Marks, Taken: other}
	for name, r := range w.v.Of {
		v.Of[name] = r
	}
	for key, r := range other {
		if key.Take == "" {
			v.Of[key.Step] = r
		}
	}
	for _, named := range [][]procedure.Named{w.p.Values, w.p.Proven} {
		for _, n := range named {
			if _, known := w.v.Of[n.Name]; !known {
				continue
			}
			if x, ok := w.formula(n); ok {
				r, err := x.Compute(&v)
				if err != nil {
					return nil, err
				}
				v.Of[n.Name] = r
			}
		}
	}
	return x.Compute(&v)
}

// within compares an interval, or a single value, with limits: inside, outside,
// or neither because a limit lies within the interval.
func within(value gauge.Length, between *procedure.Limits, allowed procedure.Limits) Outcome {
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
