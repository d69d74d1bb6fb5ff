package compute

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Between computes between which ends an expression lies when measurements are
// intervals; nil when none of them matters. Each interval is taken at the end
// that moves the result, which is exact where the result rises or falls
// steadily with it, as sums, products, quotients and extremes do. A measurement
// and a statistic of its readings count as independent, which is never too narrow.
func (j *Job) Between(x *formula.Expression, u gauge.Unit) (*procedure.Limits, error) {
	if len(j.Open) == 0 {
		return nil, nil
	}
	if j.Stepped(x) {
		return j.betweenSteps(x, u)
	}
	low, high := map[formula.Taken]*big.Rat{}, map[formula.Taken]*big.Rat{}
	for name, o := range j.Open {
		atLow, err := j.At(x, map[formula.Taken]*big.Rat{name: o.Low})
		if err != nil {
			return nil, err
		}
		atHigh, err := j.At(x, map[formula.Taken]*big.Rat{name: o.High})
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
		r, err := j.At(x, end.at)
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

// betweenSteps is Between for an expression that looks something up or rounds.
func (j *Job) betweenSteps(x *formula.Expression, u gauge.Unit) (*procedure.Limits, error) {
	s, err := j.Ends(x.Root)
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

// At computes an expression with other values of some measurements.
func (j *Job) At(x *formula.Expression, other map[formula.Taken]*big.Rat) (*big.Rat, error) {
	v := formula.Values{Of: map[string]*big.Rat{}, Readings: j.V.Readings, Marks: j.V.Marks, Taken: other}
	for name, r := range j.V.Of {
		v.Of[name] = r
	}
	for key, r := range other {
		if key.Take == "" {
			v.Of[key.Step] = r
		}
	}
	for _, named := range [][]procedure.Named{j.P.Values, j.P.Proven} {
		for _, n := range named {
			if _, known := j.V.Of[n.Name]; !known {
				continue
			}
			if x, ok := j.Formula(n); ok {
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
