// Package signs tells what a failing gauge shows in its own readings: a
// stuck spindle, missed counts, a low battery, lost resolution, a preset left
// on, a reversed direction, a wrong unit, noise, hysteresis, lost frames.
//
// Each detector is a test with a stated false-alarm rate: the probability that
// one call finds a healthy gauge at fault, or less. Who calls a detector every
// day chooses the rate accordingly. A detector refuses, with the reason, what it
// cannot judge.
//
// It is pure: no I/O, no clock, nothing drawn at random. Lengths are exact; floats
// are standard deviations in metres, shares and probabilities. A finding points
// at a gauge that a person should look at; it decides no verdict.
package signs

import (
	"errors"
	"fmt"
	"math"

	"gauged/internal/gauge"
)

// Kind is a signature.
type Kind string

// The signatures.
const (
	Stuck          Kind = "stuck spindle"
	MissedCounts   Kind = "missed counts"
	LowBattery     Kind = "low battery"
	LostResolution Kind = "lost resolution"
	PresetLeftOn   Kind = "preset left on"
	ZeroOff        Kind = "zero far off"
	Reversed       Kind = "reversed direction"
	WrongUnit      Kind = "wrong unit"
	Noise          Kind = "noise"
	Hysteresis     Kind = "hysteresis"
	LostFrames     Kind = "lost frames"
)

// Rate is an accepted false-alarm rate: the probability that one call finds a
// healthy gauge at fault, such as 0.001. It must be over 0 and under one half.
type Rate float64

func (r Rate) check() error {
	if !(r > 0 && r < 0.5) {
		return fmt.Errorf("the false-alarm rate is %g: it must be over 0 and under 0.5", float64(r))
	}
	return nil
}

// Finding is what a detector found. Kind is empty when nothing is the matter.
type Finding struct {
	Kind      Kind
	Statistic float64       // what was compared; each detector says what it is
	Limit     float64       // the finding is made when Statistic exceeds this
	Detail    gauge.Message // what was found, when something was
}

// found makes a finding of kind when the statistic exceeds the limit.
func found(kind Kind, statistic, limit float64, code string, args ...gauge.Arg) Finding {
	f := Finding{Statistic: statistic, Limit: limit}
	if statistic > limit {
		f.Kind, f.Detail = kind, gauge.Say(code, args...)
	}
	return f
}

// micro is a length in micrometres, with two decimals.
func micro(name string, value float64) gauge.Arg {
	return gauge.Shown(name, fmt.Sprintf("%.2f", value), gauge.Micrometre)
}

// Share is how often something happened, of how many times.
type Share struct{ Count, Of int }

// rate is the probability that a share stands for, not 0 and not 1: with half
// a count added to either side.
func (s Share) rate() (float64, error) {
	if s.Count < 0 || s.Of < s.Count || s.Of == 0 {
		return 0, fmt.Errorf("the usual share is %d of %d: it is needed from readings of the healthy gauge", s.Count, s.Of)
	}
	return (float64(s.Count) + 0.5) / (float64(s.Of) + 1), nil
}

// least returns the least count c of n for which a count greater than c has a
// probability of at most rate when each has the probability p (binomial tail).
func least(n int, p float64, rate Rate) int {
	logP, logQ := math.Log(p), math.Log1p(-p)
	total, _ := math.Lgamma(float64(n) + 1)
	tail := 0.0
	for c := n; c >= 0; c-- {
		a, _ := math.Lgamma(float64(c) + 1)
		b, _ := math.Lgamma(float64(n-c) + 1)
		tail += math.Exp(total - a - b + float64(c)*logP + float64(n-c)*logQ)
		if tail > float64(rate) {
			return c
		}
	}
	return 0
}

var errScatter = errors.New("the usual scatter must be a finite number that is not negative")

// scatter is the standard deviation of a reading in picometres, that of the step of
// its display included (JCGM 100, F.2.2.1).
func scatter(sd float64, step gauge.Length) (float64, error) {
	if !(sd >= 0) || math.IsInf(sd, 0) {
		return 0, errScatter
	}
	if step <= 0 {
		return 0, errors.New("the step of the display must be greater than 0")
	}
	return math.Hypot(sd*1e12, float64(step)/math.Sqrt(12)), nil
}
