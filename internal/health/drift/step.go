package drift

import (
	"math"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Model is what explains the errors of a history.
type Model string

// The models.
const (
	Steady       Model = "steady"         // neither rate nor step is significant
	Slope        Model = "slope"          // a rate
	StepOnly     Model = "step"           // a step
	SlopeAndStep Model = "slope and step" // both
	SlopeOrStep  Model = "slope or step"  // one of them: the checks do not tell which
)

// StepLevel is the probability, at most, of a step being found in a history
// that has none, over all places at which it is looked for. Half of it is spent
// on a step beside a slope, half on a step alone. The number is ours.
const StepLevel = 0.02

const (
	leastStepDoF = 4 // of slope and step together; ours
	sideOfStep   = 2 // errors on each side: one alone may be a wrong reading
)

// Fitted is one model with its best step.
type Fitted struct {
	Model      Model   `json:"model"`
	Squares    float64 `json:"squares"`    // weighted sum of squared residuals
	Parameters int     `json:"parameters"` // levels of the pieces, slope, size and place of a step
	BIC        float64 `json:"bic"`        // n ln(squares/n) + parameters ln n, the smaller the better; a second opinion, which takes a step too readily
}

// Step is a jump of the error between two checks.
type Step struct {
	After         int       `json:"after"` // numbers of the checks around it, from 1
	Before        int       `json:"before"`
	AfterTime     time.Time `json:"after_time"`
	BeforeTime    time.Time `json:"before_time"`
	Size          float64   `json:"size"` // against the slope, where there is one; standard uncertainty
	SizeError     float64   `json:"size_error"`
	DoF           int       `json:"degrees_of_freedom"`
	F             float64   `json:"f"` // F of the step and what it must exceed
	Limit         float64   `json:"limit"`
	Exact         bool      `json:"exact,omitempty"` // the errors have no scatter beside it, so that there is no F and no uncertainty
	Places        int       `json:"places"`          // at which it was looked for
	EarliestAfter int       `json:"earliest_after"`  // with LatestBefore: the places that fit nearly as well (95 %)
	LatestBefore  int       `json:"latest_before"`
	Rate          float64   `json:"rate"` // of the slope beside the step; 0 without slope
	RateError     float64   `json:"rate_error"`
	EarliestTime  time.Time `json:"earliest_time"`
	LastTime      time.Time `json:"last_time"`
}

// Steps is the comparison of the models.
type Steps struct {
	Model  Model    `json:"model"`
	Step   *Step    `json:"step"` // the step that was found, nil without one
	Models []Fitted `json:"models"`
	Level  float64  `json:"level"`
	Places int      `json:"places"`
}

// FindStep compares slope, step and both. A step is one more change of level,
// such as an adjustment that nobody noted, a fall, or counts that were missed;
// it is looked for between any two errors of a piece that have two errors on
// each side. It is tested against the slope by F, at a level that allows for
// the number of places (NIST/SEMATECH e-Handbook, 2.3.7, for the joint level).
// Errors that a step explains exactly have a step. Scatter that nobody stated counts as at
// least that of rounding to the step of the display, 0 where it is not known; a step of no
// more than that may be a rate. Checks must be valid and in order.
func FindStep(checks []Check, display float64) (Steps, error) {
	s := newSearch(checks)
	s.rounding = square(display) / 12
	if err := s.refuse(); err != nil {
		return Steps{}, err
	}
	slopes, levels := s.best(within.rest), s.best(func(w within) float64 { return w.yy })
	result := Steps{Level: StepLevel, Places: len(s.places)}
	if !s.stated && s.rounding == 0 && slopes.squares <= scatterless*s.all.yy {
		return s.exact(result, slopes, levels)
	}
	result.Models = s.models(slopes, levels)
	dof := float64(s.all.n - s.all.pieces - 2)
	single, several := s.critical(dof)
	singleAlone, severalAlone := s.critical(dof + 1)

	stepBesideSlope := s.gain(s.all.rest(), slopes.squares, dof)
	slopeBesideStep := s.gain(slopes.split.yy, slopes.squares, dof)
	slopeBesideBestStep := s.gain(levels.split.yy, levels.split.rest(), dof)
	slope := s.gain(s.all.yy, s.all.rest(), dof+1) > singleAlone
	step := s.gain(s.all.yy, levels.squares, dof+1) > severalAlone
	switch {
	case stepBesideSlope > several && slopeBesideStep > single:
		result.Model, result.Step = SlopeAndStep, s.step(slopes, true, stepBesideSlope, several)
	case stepBesideSlope > several:
		result.Model, result.Step = StepOnly, s.step(levels, false, s.gain(s.all.yy, levels.squares, dof+1), severalAlone)
	case slope && step && slopeBesideBestStep <= single:
		result.Model = SlopeOrStep
	case slope:
		result.Model = Slope
	case step:
		result.Model, result.Step = StepOnly, s.step(levels, false, s.gain(s.all.yy, levels.squares, dof+1), severalAlone)
	default:
		result.Model = Steady
	}
	if result.Step != nil && display > 0 && math.Abs(result.Step.Size) <= display*(1+1e-9) {
		result.Model, result.Step = SlopeOrStep, nil
	}
	return result, nil
}

// exact is what errors without any scatter show: all the same or on one line they tell no
// step apart; else the step that explains them is one.
func (s *search) exact(result Steps, slopes, levels place) (Steps, error) {
	none := scatterless * s.all.yy
	switch {
	case s.all.rest() <= none:
		return Steps{}, gauge.Refused("jump.no_scatter")
	case levels.squares <= none:
		result.Model, result.Step = StepOnly, s.step(levels, false, 0, 0)
	default:
		result.Model, result.Step = SlopeAndStep, s.step(slopes, true, 0, 0)
	}
	result.Step.Exact = true
	return result, nil
}

// critical returns what the F of the slope, and that of the best of all places,
// must exceed. The slope has the level of [Confidence], as in [Line.Significant]: whether
// the error moves is asked and answered once.
func (s *search) critical(dof float64) (slope, several float64) {
	return square(uncertainty.StudentQuantile((1+Confidence)/2, dof)), square(uncertainty.StudentQuantileOfSeveral(StepLevel/2, len(s.places), dof))
}

// gain is the F of one more parameter, which takes the squares from before to
// after and leaves dof.
func (s *search) gain(before, after, dof float64) float64 {
	return (before - after) / s.factor(after, dof)
}

// factor is the variance of a point of weight 1, as in [Line.Factor].
func (s *search) factor(squares, dof float64) float64 {
	if s.stated {
		return max(1, squares/dof)
	}
	return max(squares/dof, s.rounding)
}

func square(x float64) float64 { return x * x }

// refuse says why nothing can be looked for.
func (s *search) refuse() error {
	dof := s.all.n - s.all.pieces - 2
	switch {
	case dof < leastStepDoF:
		return gauge.Refused("jump.few", gauge.Count("least", leastStepDoF), gauge.Count("there", max(dof, 0)))
	case len(s.places) == 0:
		return gauge.Refused("jump.no_place")
	case !(s.all.xx > 0):
		return gauge.Refused("jump.one_time")
	}
	return nil
}

// models lists all models with their sums of squares.
func (s *search) models(slopes, levels place) []Fitted {
	n := float64(s.all.n)
	fitted := func(m Model, squares float64, more int) Fitted {
		p := s.all.pieces + more
		scatter := max(squares/n, s.rounding, math.SmallestNonzeroFloat64) // errors that are all the same have none
		return Fitted{m, squares, p, n*math.Log(scatter) + float64(p)*math.Log(n)}
	}
	return []Fitted{
		fitted(Steady, s.all.yy, 0), fitted(Slope, s.all.rest(), 1),
		fitted(StepOnly, levels.squares, 2), fitted(SlopeAndStep, slopes.squares, 3),
	}
}
