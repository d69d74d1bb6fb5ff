package jobs

import "time"

// Kept is how far back jobs say something of their gauges.
const Kept = 400 * 24 * time.Hour

// Term is one gauge in a residual.
type Term struct {
	Gauge       string
	Coefficient float64 // change of the residual per change of the gauge's error
	Uses        int     // how often the job used the gauge; wear goes by it
}

// Residual is what one job says about its gauges: Value is the sum of
// coefficient times error over the terms, plus scatter. The verifying gauge has
// its own coefficient (1), those that the prediction was made with have the
// negative of theirs in the prediction.
type Residual struct {
	Time  time.Time
	Terms []Term
	Value float64 // measured less predicted, in metres
	Sigma float64 // standard deviation of Value, in metres: repeatability, tolerance of the part, seating
}

// Anchor is a master check of one gauge.
type Anchor struct {
	Time  time.Time
	Gauge string
	Error float64 // shown less true, in metres
	Sigma float64 // standard uncertainty of Error, in metres

	// Restart says that the gauge was set, repaired or exchanged just before
	// this check, so that nothing earlier tells its error now. A gauge that
	// was checked and then set gives two anchors.
	Restart bool
}

// Model says how healthy gauges behave, and when to raise an alarm. Rates of
// walks are standard deviations that grow with the root of the time.
type Model struct {
	Start      float64 // standard deviation of the error of a gauge when it is first seen, in metres
	Rate       float64 // standard deviation of its rate then, in metres per day
	Wander     float64 // walk of the error, in metres per root day
	WearPerUse float64 // walk of the error, in metres per root of uses
	RateWander float64 // walk of the rate, in metres per day per root day

	// What a fault may do at once: the standard deviations of a jump of the
	// error, in metres, and of its rate, in metres per day. They take the
	// place of healthy behaviour from the onset of an alarm.
	FaultStep, FaultRate float64

	// Quiet is the mean number of days with comparisons between two false
	// alarms of one good gauge; it is reached or exceeded.
	Quiet float64

	// Clip is from how many standard deviations on a residual counts less:
	// Huber's weight. A part that was badly seated then does no more harm than
	// one that is so far off.
	Clip float64
}

// DefaultModel is for gauges that read micrometres: within 5 um when first
// seen, wandering 0.1 um in a day. One good gauge raises a false alarm in 10 000
// days with comparisons. Common practice, no source.
func DefaultModel() Model {
	return Model{
		Start: 5e-6, Rate: 0.01e-6, Wander: 0.1e-6, WearPerUse: 0.02e-6, RateWander: 0.002e-6,
		FaultStep: 20e-6, FaultRate: 2e-6, Quiet: 10_000, Clip: 3,
	}
}

// Point is the error of a gauge at a time.
type Point struct {
	Time  time.Time
	Error float64 // shown less true, in metres
	Sigma float64 // its standard uncertainty, in metres
}

// Track is the error of a gauge over time, by all that is known now: one point
// for each day with data of its group, and one for the end.
type Track struct {
	Gauge     string
	Points    []Point // at least one, in order of time
	Rate      float64 // at the last point, in metres per day
	RateSigma float64
	Wander    float64 // of the gauges of its group, as a multiple of the model's: estimated, and 1 at least
}

// Shape is how a fault came about.
type Shape string

// The shapes that are told apart.
const (
	Step Shape = "step" // at once, as by a fall
	Ramp Shape = "ramp" // more each day, as by wear
)

// Suspect is a gauge that alone explains an alarm, and how.
type Suspect struct {
	Gauge string
	Shape Shape
	Size  float64 // of the step in metres, or of the ramp in metres per day, if it was this gauge alone
	Sigma float64 // its standard uncertainty
	Odds  float64 // likelihood relative to the best suspect, 0.05 to 1
}

// Alarm says that gauges changed more than healthy ones do.
type Alarm struct {
	Time     time.Time // when what had come in by then was enough to say so
	Since    time.Time // most likely onset
	Suspects []Suspect // by odds; more than one: they cannot be told apart so far
}

// Combination is a sum of errors that is known much better than the errors of
// its gauges: these cannot be told apart.
type Combination struct {
	Terms []Term // Uses is 0
	Value float64
	Sigma float64
}

// Site is what is known of all gauges.
type Site struct {
	Tracks       []Track       // by name of the gauge
	Alarms       []Alarm       // by time
	Combinations []Combination // by names of their gauges, at the last point
}
