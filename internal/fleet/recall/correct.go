package recall

import (
	"errors"
	"math"
	"time"

	"gauged/internal/evaluate/uncertainty"
	"gauged/internal/gauge"
)

// Limits that are not there.
const (
	NoLow  gauge.Length = math.MinInt64
	NoHigh gauge.Length = math.MaxInt64
)

// Use is one measurement that a job made with the gauge.
type Use struct {
	Time        time.Time
	Coefficient float64 // change of the job's value per change of this measurement
}

// Job is a verdict to be looked at again.
type Job struct {
	Number    uint64
	Value     gauge.Length // of the closing dimension, as found then
	Low, High gauge.Length // limits, which are inside; NoLow and NoHigh where there is none
	Standard  float64      // standard uncertainty of Value, in metres
	Uses      []Use        // of the gauge
}

// Result is what a job comes to. A sigma of the correction adds to the
// uncertainty: all uses share one error of the gauge, so its sigmas add up with
// their signs.
type Result struct {
	Number        uint64
	Corrected     gauge.Length
	Standard      float64 // standard uncertainty of Corrected, in metres
	Before, After uncertainty.Verdict
	// Probabilities that the true value was inside the limits, by what was
	// known before and after.
	ProbabilityBefore, ProbabilityAfter float64
}

// Correct computes a job with the error of the gauge taken out. A value
// conforms when it is inside the limits by z standard uncertainties, does not when it
// is outside by as much, and is undecided in between; z is not negative, 0 decides by the
// limits alone. It fails when the job cannot be computed with.
func Correct(j Job, e ErrorModel, z float64) (Result, error) {
	switch {
	case !(j.Standard >= 0) || math.IsInf(j.Standard, 0):
		return Result{}, errors.New("the uncertainty of the job's value must be a finite number that is not negative")
	case !(z >= 0) || math.IsInf(z, 0):
		return Result{}, errors.New("the factor of the guard band must be a finite number that is not negative")
	case !within(j.Value) || j.Low != NoLow && !within(j.Low) || j.High != NoHigh && !within(j.High):
		return Result{}, gauge.ErrTooLarge
	case j.Low > j.High:
		return Result{}, errors.New("the lower limit of the job is above the upper one")
	}
	correction, sigma := 0.0, 0.0
	for _, u := range j.Uses {
		off, s := e(u.Time)
		correction += u.Coefficient * off
		sigma += u.Coefficient * s
	}
	if !(math.Abs(correction) <= float64(gauge.MaxLength)) || !(math.Abs(sigma) <= float64(gauge.MaxLength)) {
		return Result{}, errors.New("the correction is larger than one kilometre, or not a number")
	}
	r := Result{
		Number:    j.Number,
		Corrected: j.Value - gauge.Length(math.RoundToEven(correction)),
		Standard:  math.Hypot(j.Standard, sigma/picometres),
	}
	if !within(r.Corrected) {
		return Result{}, gauge.ErrTooLarge
	}
	var err error
	if r.Before, err = j.verdict(j.Value, z*j.Standard); err != nil {
		return Result{}, err
	}
	if r.After, err = j.verdict(r.Corrected, z*r.Standard); err != nil {
		return Result{}, err
	}
	r.ProbabilityBefore = j.probability(j.Value, j.Standard)
	r.ProbabilityAfter = j.probability(r.Corrected, r.Standard)
	return r, nil
}

func within(l gauge.Length) bool { return -gauge.MaxLength <= l && l <= gauge.MaxLength }

// verdict compares a value with the limits and a guard band in metres.
func (j Job) verdict(v gauge.Length, band float64) (uncertainty.Verdict, error) {
	if band*picometres > float64(gauge.MaxLength) {
		return "", errors.New("the guard band is larger than one kilometre")
	}
	g := gauge.Length(math.Ceil(band * picometres))
	low, high := j.Low, j.High
	switch {
	case low != NoLow && v < low-g, high != NoHigh && v > high+g:
		return uncertainty.DoesNotConform, nil
	case (low == NoLow || v >= low+g) && (high == NoHigh || v <= high-g):
		return uncertainty.Conforms, nil
	}
	return uncertainty.Undecided, nil
}

// probability that a normal value about v is inside the limits (JCGM 106,
// clause 7).
func (j Job) probability(v gauge.Length, standard float64) float64 {
	if standard == 0 {
		if (j.Low == NoLow || v >= j.Low) && (j.High == NoHigh || v <= j.High) {
			return 1
		}
		return 0
	}
	outside := 0.0
	if j.Low != NoLow {
		outside += above(float64(v-j.Low) / picometres / standard)
	}
	if j.High != NoHigh {
		outside += above(float64(j.High-v) / picometres / standard)
	}
	return max(0, 1-outside)
}

// above is the probability that a standard normal value exceeds z.
func above(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }
