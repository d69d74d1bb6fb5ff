package study

import "gauged/internal/gauge"

// Options are what a study may be told besides its readings. The zero value of
// a field stands for its default.
type Options struct {
	Confidence float64 `json:"confidence,omitempty"` // of every interval, 0.95
	Alpha      float64 `json:"alpha,omitempty"`      // significance level of tests of bias, slope and the like, 1 - Confidence
	Tolerance  float64 `json:"tolerance,omitempty"`  // width of the tolerance, 0 for none
	PoolAbove  float64 `json:"pool_above,omitempty"` // the interaction is pooled when its p is above this, 0.25 (MSA manual)
	Spread     float64 `json:"spread,omitempty"`     // how many standard deviations wide a variation is taken to be, 6 (MSA manual)
	Seed       uint64  `json:"seed,omitempty"`       // of the drawn intervals
	Draws      int     `json:"draws,omitempty"`      // for each of them, 20000
}

// with returns the options with their defaults, or says which cannot be used.
func (o Options) with() (Options, error) {
	set := func(field *float64, value float64) {
		if *field == 0 {
			*field = value
		}
	}
	set(&o.Confidence, 0.95)
	set(&o.Alpha, 1-o.Confidence)
	set(&o.PoolAbove, 0.25)
	set(&o.Spread, 6)
	if o.Draws == 0 {
		o.Draws = 20_000
	}
	switch {
	case o.Draws < 100 || o.Draws > 10_000_000:
		return o, gauge.WrongInput("refusal.figures.draws", gauge.Count("count", o.Draws))
	case !(o.Confidence >= 0.5 && o.Confidence <= 0.9999):
		return o, gauge.WrongInput("refusal.figures.confidence", gauge.Shown("given", Number(o.Confidence), gauge.UnitUnknown))
	case !(o.PoolAbove > 0 && o.PoolAbove <= 1):
		return o, gauge.WrongInput("refusal.figures.pooling", gauge.Shown("given", Number(o.PoolAbove), gauge.UnitUnknown))
	case !(o.Spread > 0 && o.Spread <= 20):
		return o, gauge.WrongInput("refusal.figures.spread", gauge.Shown("given", Number(o.Spread), gauge.UnitUnknown))
	case !(o.Tolerance >= 0 && o.Tolerance < 1e60):
		return o, gauge.WrongInput("refusal.figures.tolerance", gauge.Shown("given", Number(o.Tolerance), gauge.UnitUnknown))
	}
	return o, nil
}
