// Package master compares a gauge with a known value: a master, a gauge block, or
// the zero of closed faces. It gives the error found at each point, corrected for
// temperature, its uncertainty, and whether the gauge is within its maximum
// permissible error.
//
// An error is indication less true value. Lengths are exact; uncertainties are
// floats in metres, shown beside the error.
package master

import (
	"math"
	"math/big"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/statistics"
)

// Master is a known value.
type Master struct {
	ID        string           `json:"id"`
	Title     string           `json:"title,omitempty"`
	Value     gauge.Length     `json:"value"`                  // at 20 degC, the deviation of its certificate included
	Certified *gauge.Expanded  `json:"certified,omitempty"`    // uncertainty of its certificate; nil: taken as exact
	Expansion *gauge.Expansion `json:"expansion,omitempty"`    // nil: does not expand
	Due       time.Time        `json:"due,omitempty,omitzero"` // its own calibration is due; zero: not stated
}

// Point is the readings at one master.
type Point struct {
	Master   Master         `json:"master"`
	Readings []gauge.Length `json:"readings"`
	// Falling says that the value was approached from above; points at one master
	// from both sides give the hysteresis.
	Falling bool `json:"falling,omitempty"`
}

// Temperature is that of gauge and master, in kelvin from 20 degC, in units of
// gauge.One; Tolerance counts either way.
type Temperature struct {
	Above     gauge.Length `json:"above"`
	Tolerance gauge.Length `json:"tolerance"`
}

// Input is a check as it was made.
type Input struct {
	Points      []Point
	Temperature *Temperature  // nil: not measured, and no correction is made
	Ability     gauge.Ability // what is known of the gauge; Error is its maximum permissible error
}

// Verdict is what a check says of the gauge.
type Verdict string

// The verdicts. A limit within the uncertainty leaves it undecided.
const (
	Pass      Verdict = "pass"
	Fail      Verdict = "fail"
	Undecided Verdict = "undecided"
	Unlimited Verdict = "no limit" // the gauge's maximum permissible error is not stated
)

// K is the coverage factor of the uncertainties that decide (95 % of a normal
// distribution, JCGM 100:2008, 6.3.3).
const K = 2

// PointResult is what follows from one point.
type PointResult struct {
	Master    string       `json:"master"`
	Falling   bool         `json:"falling,omitempty"`
	Mean      gauge.Length `json:"mean"`
	Reference gauge.Length `json:"reference"` // what a gauge without error would show
	Error     gauge.Length `json:"error"`
	Standard  float64      `json:"standard_uncertainty"` // of the error, in metres
	Spread    float64      `json:"spread"`               // standard deviation of the readings; 0 for one reading
	Repeats   int          `json:"repeats"`
}

// Expanded is the expanded uncertainty of the error, rounded to a picometre.
func (p PointResult) Expanded() gauge.Length { return gauge.Length(math.Round(K * p.Standard * 1e12)) }

// Result is what follows from a check.
type Result struct {
	Points     []PointResult `json:"points"`
	Error      gauge.Length  `json:"error"`                // mean over the points
	Standard   float64       `json:"standard_uncertainty"` // of it, from what does not repeat
	Worst      PointResult   `json:"worst"`                // the point with the largest error
	Hysteresis *gauge.Length `json:"hysteresis,omitempty"` // largest difference between rising and falling
	Spread     float64       `json:"spread"`               // pooled standard deviation of the repeats, in metres
	Freedom    int           `json:"freedom"`              // its degrees of freedom
	Limit      *gauge.Length `json:"limit,omitempty"`
	Verdict    Verdict       `json:"verdict"`
}

// Evaluate compares. It needs at least one point with a reading.
func Evaluate(in Input) Result {
	r := Result{Limit: in.Ability.Error}
	var errors []gauge.Length
	var squares float64
	for _, p := range in.Points {
		if len(p.Readings) == 0 {
			continue
		}
		one := in.point(p)
		r.Points = append(r.Points, one)
		errors = append(errors, one.Error)
		squares += one.Spread * one.Spread * float64(one.Repeats-1)
		r.Freedom += one.Repeats - 1
		if len(r.Points) == 1 || one.Error.Abs() > r.Worst.Error.Abs() {
			r.Worst = one
		}
	}
	if len(errors) == 0 {
		r.Verdict = Undecided
		return r
	}
	r.Error = gauge.Mean(errors...)
	if r.Freedom > 0 {
		r.Spread = math.Sqrt(squares / float64(r.Freedom))
	}
	for _, p := range r.Points {
		r.Standard += p.Standard / float64(len(r.Points)) // the errors of points are not independent: they add
	}
	r.Hysteresis = hysteresis(r.Points)
	r.Verdict = r.verdict()
	return r
}

// verdict holds the worst point against the limit.
func (r Result) verdict() Verdict {
	if r.Limit == nil {
		return Unlimited
	}
	worst, expanded := r.Worst.Error.Abs(), r.Worst.Expanded()
	switch {
	case worst+expanded <= *r.Limit:
		return Pass
	case worst-expanded > *r.Limit:
		return Fail
	}
	return Undecided
}

func (in Input) point(p Point) PointResult {
	one := PointResult{
		Master: p.Master.ID, Falling: p.Falling, Mean: gauge.Mean(p.Readings...),
		Reference: in.reference(p.Master), Repeats: len(p.Readings),
	}
	one.Error = one.Mean - one.Reference
	if one.Repeats > 1 {
		one.Spread = statistics.ScatterOf(statistics.FromFirst(p.Readings)).SD / 1e12
	}
	one.Standard = math.Sqrt(in.variance(p.Master, one))
	return one
}

// reference is what a gauge without error shows at the master: its length at the
// temperature, measured with a scale that has expanded too. Two lengths L and
// scales with coefficients a and b give L (1 + (a - b) t), to first order.
func (in Input) reference(m Master) gauge.Length {
	if in.Temperature == nil {
		return m.Value
	}
	difference := big.NewInt(int64(perKelvin(m.Expansion) - perKelvin(in.Ability.Expansion)))
	growth := new(big.Int).Mul(difference, big.NewInt(int64(in.Temperature.Above)))
	growth.Mul(growth, big.NewInt(int64(m.Value)))
	// Both factors count 1e-9, and the coefficient 1e-6.
	change, err := gauge.RoundRat(new(big.Rat).SetFrac(growth, new(big.Int).Exp(big.NewInt(10), big.NewInt(24), nil)))
	if err != nil {
		return m.Value // beyond a kilometre: no such master
	}
	return m.Value + change
}

func perKelvin(x *gauge.Expansion) gauge.Length {
	if x == nil {
		return 0
	}
	return x.PerKelvin
}

// variance adds what is in doubt about the error at a point, after JCGM 100:2008,
// 5.1.2: the master's certificate, the repeats, the step of the display, the
// temperature and the coefficients (H.1.3).
func (in Input) variance(m Master, p PointResult) float64 {
	var sum float64
	add := func(u float64) { sum += u * u }
	if c := m.Certified; c != nil && c.K > 0 {
		add(c.Uncertainty.Metres() / one(c.K))
	}
	n := math.Sqrt(float64(p.Repeats))
	switch repeats := in.Ability.Repeats; {
	case repeats != nil && repeats.Freedom >= p.Repeats-1:
		add(repeats.Deviation.Metres() / n)
	default:
		add(p.Spread / n)
	}
	if step := in.Ability.Resolution; step != nil {
		add(step.Metres() / math.Sqrt(12))
	}
	if t := in.Temperature; t != nil {
		length, above := m.Value.Metres(), one(t.Above)
		add(length * one(perKelvin(m.Expansion)-perKelvin(in.Ability.Expansion)) * 1e-6 * one(t.Tolerance) / math.Sqrt(3))
		for _, x := range []*gauge.Expansion{m.Expansion, in.Ability.Expansion} {
			if x != nil && x.Tolerance != nil {
				add(length * above * one(*x.Tolerance) * 1e-6 / math.Sqrt(3))
			}
		}
	}
	return sum
}

// one returns a value that counts 1e-9 of its unit.
func one(l gauge.Length) float64 { return float64(l) / 1e9 }

// hysteresis is the largest difference between rising and falling at one master.
func hysteresis(points []PointResult) *gauge.Length {
	var largest *gauge.Length
	for _, up := range points {
		for _, down := range points {
			if up.Master != down.Master || up.Falling || !down.Falling {
				continue
			}
			if d := (up.Error - down.Error).Abs(); largest == nil || d > *largest {
				largest = &d
			}
		}
	}
	return largest
}
