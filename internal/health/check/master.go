// Package check compares a gauge with a known value: a master, a gauge block, or
// the zero of closed faces. It gives the error found at each point, corrected for
// temperature, its uncertainty, and whether the gauge is within its maximum
// permissible error there; the check is judged by all its points.
//
// An error is indication less true value. Lengths are exact; uncertainties are
// floats in metres, shown beside the error.
package check

import (
	"math"
	"time"

	"gauged/internal/gauge"
)

// Master is a known value.
type Master struct {
	ID        string           `json:"id"`
	Title     string           `json:"title,omitempty"`
	Unit      gauge.Unit       `json:"-"`                      // that it is stated in; none: millimetres
	Value     gauge.Length     `json:"value"`                  // at 20 degC, the deviation of its certificate included
	Certified *gauge.Expanded  `json:"certified,omitempty"`    // uncertainty of its certificate; nil: taken as exact
	Expansion *gauge.Expansion `json:"expansion,omitempty"`    // nil: not stated
	Due       time.Time        `json:"due,omitempty,omitzero"` // its own calibration is due; zero: not stated
	Serial    string           `json:"serial_number,omitempty"`
	// Certificate is where Value and Certified are from; nil: not stated.
	Certificate *Certificate `json:"certificate,omitempty"`
}

// Certificate is a calibration certificate by name.
type Certificate struct {
	Number     string    `json:"number,omitempty"`
	Laboratory string    `json:"laboratory,omitempty"`
	Date       time.Time `json:"date,omitzero"` // of the calibration
}

// Overdue reports whether its own calibration is due.
func (m Master) Overdue(now time.Time) bool { return !m.Due.IsZero() && now.After(m.Due) }

// Usable returns a master that may be used today, or an error of gauge's kinds.
func Usable(masters map[string]Master, id string, now time.Time) (Master, error) {
	m, ok := masters[id]
	switch {
	case !ok:
		return m, gauge.NotFound("refusal.master.missing", gauge.Text("master", id))
	case m.Overdue(now):
		return m, gauge.Refused("refusal.master.overdue", gauge.Text("master", m.ID), gauge.Moment("due", m.Due))
	}
	return m, nil
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

// Result is what follows from a check.
type Result struct {
	Points     []PointResult `json:"points"`
	Error      gauge.Length  `json:"error"`                // mean over the points
	Standard   float64       `json:"standard_uncertainty"` // of it, from what does not repeat
	Worst      PointResult   `json:"worst"`                // the point with the largest error; Decides has that of the verdict
	Hysteresis *gauge.Length `json:"hysteresis,omitempty"` // largest difference between rising and falling
	Spread     float64       `json:"spread"`               // pooled standard deviation of the repeats, in metres
	Freedom    int           `json:"freedom"`              // its degrees of freedom
	Limit      *gauge.Length `json:"limit,omitempty"`
	Verdict    Verdict       `json:"verdict"`
}

// Evaluate compares. It needs at least one point with a reading.
func Evaluate(in Input) Result {
	var points []PointResult
	for _, p := range in.Points {
		if len(p.Readings) > 0 {
			points = append(points, in.point(p))
		}
	}
	return in.result(points)
}

// result judges the points, and the check by all of them.
func (in Input) result(points []PointResult) Result {
	r := Result{Limit: in.Ability.Error, Points: points}
	if len(points) == 0 {
		r.Verdict = Undecided
		return r
	}
	var errors []gauge.Length
	var squares float64
	for i := range r.Points {
		p := &r.Points[i]
		in.decide(p)
		errors = append(errors, p.Error)
		if p.Repeats > 1 {
			squares += p.Spread * p.Spread * float64(p.Repeats-1)
			r.Freedom += p.Repeats - 1
		}
		if i == 0 || p.Error.Abs() > r.Worst.Error.Abs() {
			r.Worst = *p
		}
		r.Standard += p.Standard / float64(len(points)) // the errors of points are not independent: they add
	}
	r.Error = gauge.Mean(errors...)
	if r.Freedom > 0 {
		r.Spread = math.Sqrt(squares / float64(r.Freedom))
	}
	r.Hysteresis = hysteresis(r.Points)
	r.Verdict = together(r.Points, r.Limit)
	return r
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
