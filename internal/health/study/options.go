package study

import "fmt"

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
		return o, fmt.Errorf("%d draws for an interval: use 100 to 10 million", o.Draws)
	case !(o.Confidence >= 0.5 && o.Confidence <= 0.9999):
		return o, fmt.Errorf("the confidence %v is not between 0.5 and 0.9999: use one such as 0.95", o.Confidence)
	case !(o.PoolAbove > 0 && o.PoolAbove <= 1):
		return o, fmt.Errorf("the level %v for pooling is not between 0 and 1: use one such as 0.25, or 1 to keep the interaction always", o.PoolAbove)
	case !(o.Spread > 0 && o.Spread <= 20):
		return o, fmt.Errorf("a spread of %v standard deviations is not between 0 and 20: use 6", o.Spread)
	case !(o.Tolerance >= 0 && o.Tolerance < 1e60):
		return o, fmt.Errorf("the tolerance %v is not a width: give the distance of the limits, above 0", o.Tolerance)
	}
	return o, nil
}
