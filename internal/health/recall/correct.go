package recall

import (
	"math"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Limits that are not there.
const (
	NoLow  gauge.Length = math.MinInt64
	NoHigh gauge.Length = math.MaxInt64
)

// Use is one measurement that a job made with the gauge.
type Use struct {
	Time        time.Time
	Shown       gauge.Length // what the gauge showed
	Coefficient float64      // change of the job's value per change of this measurement
}

// Job is a verdict to be looked at again.
type Job struct {
	Number    uint64
	Value     gauge.Length // of the closing dimension, as found then
	Low, High gauge.Length // limits, which are inside; NoLow and NoHigh where there is none
	Standard  gauge.Length // standard uncertainty of Value; 0: not known, the limits decide by themselves
	Exact     bool         // Standard is 0 and known
	Freedom   int          // effective degrees of freedom of Standard; 0: infinite
	Uses      []Use        // of the gauge
}

// Result is what a job comes to. Each part of the uncertainty of the correction is one
// error that the uses share, so its sigmas add up with their signs; the parts are
// independent. What is unknown between or beyond points is rectangular: see Apart.
type Result struct {
	Number        uint64
	Corrected     gauge.Length
	Known         bool    // how uncertain the value was; else the limits decided by themselves
	Standard      float64 // standard uncertainty of Corrected, in picometres, where it is known
	Beyond        bool    // a reading lies beyond the points of the error
	Before, After uncertainty.Verdict
	// Probabilities that the true value was inside the limits, by what was
	// known before and after. The verdicts are made from them. Where the
	// uncertainty is not known they are 0 or 1, and say nothing.
	ProbabilityBefore, ProbabilityAfter uncertainty.Probability
}

// Correct computes a job with the error of the gauge taken out. What it comes to
// is what uncertainty.Decide says of the probability, before and after. It fails
// when the job cannot be computed with.
func Correct(j Job, e ErrorModel, required uncertainty.Probability) (Result, error) {
	switch {
	case j.Standard < 0:
		return Result{}, gauge.WrongInput("refusal.recall.job-uncertainty")
	case j.Freedom < 0:
		return Result{}, gauge.WrongInput("refusal.recall.job-freedom")
	case !within(j.Value) || !within(j.Standard) || j.Low != NoLow && !within(j.Low) || j.High != NoHigh && !within(j.High):
		return Result{}, tooLarge()
	case j.Low > j.High:
		return Result{}, gauge.WrongInput("refusal.recall.job-limits")
	}
	r := Result{Number: j.Number}
	correction := 0.0
	var few [8]Part
	parts := few[:0]
	for _, u := range j.Uses {
		off := e(u.Time, u.Shown)
		correction += u.Coefficient * float64(off.Error)
		parts = off.AddTo(parts, u.Coefficient)
		r.Beyond = r.Beyond || off.Beyond
	}
	parts = Apart(parts)
	sigma := Sigma(parts)
	if !(math.Abs(correction) <= float64(gauge.MaxLength)) || !(math.Abs(sigma) <= float64(gauge.MaxLength)) {
		return Result{}, gauge.WrongInput("refusal.recall.correction")
	}
	r.Known = j.Standard > 0 || j.Exact
	before, err := j.budget(nil)
	if err != nil {
		return Result{}, err
	}
	after := before
	if r.Known {
		if after, err = j.budget(parts); err != nil {
			return Result{}, err
		}
	}
	r.Corrected, r.Standard = j.Value-gauge.Length(math.RoundToEven(correction)), after.Standard
	if !within(r.Corrected) {
		return Result{}, tooLarge()
	}
	r.ProbabilityBefore = j.inside(j.Value, before)
	r.ProbabilityAfter = j.inside(r.Corrected, after)
	r.Before = uncertainty.Decide(r.ProbabilityBefore, required)
	r.After = uncertainty.Decide(r.ProbabilityAfter, required)
	return r, nil
}

// budget is that of the value with what is not known of the error that was taken off.
func (j Job) budget(parts []Part) (uncertainty.Budget, error) {
	inputs := []uncertainty.Input{{Name: "value", Standard: float64(j.Standard), Distribution: uncertainty.Student, Freedom: float64(j.Freedom)}}
	one := []float64{1}
	for _, p := range parts {
		in := uncertainty.Input{Name: "error", Standard: math.Abs(p.Sigma), Distribution: uncertainty.Normal}
		if p.Unknown {
			in.Distribution = uncertainty.Rectangular
		}
		inputs, one = append(inputs, in), append(one, 1)
	}
	return uncertainty.Combine(inputs, one)
}

func tooLarge() error { return gauge.WrongInput("refusal.recall.too-large") }

func within(l gauge.Length) bool { return -gauge.MaxLength <= l && l <= gauge.MaxLength }

// inside is the probability that a value about v is inside the limits.
func (j Job) inside(v gauge.Length, b uncertainty.Budget) uncertainty.Probability {
	low, high := math.Inf(-1), math.Inf(1)
	if j.Low != NoLow {
		low = float64(j.Low - v)
	}
	if j.High != NoHigh {
		high = float64(j.High - v)
	}
	return uncertainty.Rounded(b.Shaped(0, low, high))
}
