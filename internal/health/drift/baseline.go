package drift

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"gauged/internal/uncertainty"
)

// Baseline is what the charts compare with.
type Baseline struct {
	Centre  float64 `json:"centre"`
	Sigma   float64 `json:"sigma"`
	Freedom int     `json:"degrees_of_freedom"` // of sigma; 0: given, and taken as exact
}

// SigmaUncertainty returns the relative standard uncertainty of sigma, that of the
// standard deviation of independent normal values.
func (b Baseline) SigmaUncertainty() float64 {
	if b.Freedom < 1 {
		return 0
	}
	c4 := uncertainty.MeanStdDevFactor(b.Freedom + 1)
	return math.Sqrt(1-c4*c4) / c4
}

// learned is what the checks so far say of errors in control: their level since the
// last adjustment, and their scatter about the levels of all pieces. It is of fixed
// size.
type learned struct {
	here    int     // errors at this level
	level   float64 // their mean
	squares float64 // of the differences between each error and the mean before it, each as wide as one error
	freedom int
}

// ready says that the next error can be compared: there is a level, and a scatter.
func (l learned) ready(step float64) bool {
	return l.here > 0 && l.freedom > 0 && l.sigma(step) > 0
}

// sigma is the standard deviation of one error, not below half a step of what is
// displayed: rounding alone scatters by the step over root 12.
func (l learned) sigma(step float64) float64 {
	return max(math.Sqrt(l.squares/float64(max(l.freedom, 1))), step/2)
}

// widening is how much wider than one error its difference from the level is.
func (l learned) widening() float64 { return math.Sqrt(1 + 1/float64(l.here)) }

// standardised compares an error with the level: while all is well, the results are
// independent and standard normal from the second comparison on, however few errors
// the level and the scatter come from (Quesenberry, "SPC Q charts for start-up
// processes and short or long runs", 1991; Hawkins, "Self-starting CUSUM charts for
// location and scale", 1987; both from memory, tested by simulation).
func (l learned) standardised(x, step float64) float64 {
	t := (x - l.level) / l.widening() / l.sigma(step)
	tail := distuv.StudentsT{Sigma: 1, Nu: float64(l.freedom)}.CDF(-math.Abs(t))
	return math.Copysign(-uncertainty.NormalQuantile(max(tail, 1e-300)), t)
}

// distance is how far from the level an error is that is width in the scale of
// [learned.standardised].
func (l learned) distance(width, step float64) float64 {
	t := -uncertainty.StudentQuantile(distuv.UnitNormal.CDF(-width), float64(l.freedom))
	return t * l.widening() * l.sigma(step)
}

// learn takes an error for one in control.
func (l *learned) learn(x float64) {
	if l.here > 0 {
		d := (x - l.level) / l.widening()
		l.squares += d * d
		l.freedom++
	}
	l.here++
	l.level += (x - l.level) / float64(l.here)
}

// adjusted begins a new level with the error as left, where it is known; the scatter
// stays as it is.
func (l *learned) adjusted(left *float64) {
	l.here, l.level = 0, 0
	if left != nil {
		l.learn(*left)
	}
}
