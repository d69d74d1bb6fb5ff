package drift

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Charts are the control charts of the errors as found.
type Charts struct {
	Baseline         Baseline  `json:"baseline"` // by all checks
	SigmaUncertainty float64   `json:"relative_uncertainty_of_sigma"`
	Charts           []State   `json:"charts"`
	Signals          []Signal  `json:"signals"`
	Course           []Charted `json:"-"` // of each occasion, to be drawn
}

// State is one chart after the last check, in the unit of the errors.
type State struct {
	Name    string  `json:"name"`
	Value   float64 `json:"value"` // that is compared now
	Low     float64 `json:"low"`   // its limits
	High    float64 `json:"high"`
	Signals int     `json:"signals"`

	// RunLength is the average number of judged occasions to a signal while nothing has
	// changed, Shifted when the error has moved by one sigma from a level that is
	// known well: from one that was learned from few checks it takes longer.
	RunLength float64 `json:"run_length"`
	Shifted   float64 `json:"run_length_after_one_sigma"`
}

// Signal is one occasion that a chart points at, or one check whose spread is.
type Signal struct {
	Chart string        `json:"chart"`
	Check int           `json:"check"` // from 1; the last one of an occasion
	Time  time.Time     `json:"time"`
	What  gauge.Message `json:"what"`
}

// control runs the charts over the occasions: checks of one have what varies from day to
// day in common, so that one by one they would look more alike than they are.
func (r *Review) control(occasions []occasion, o Options) error {
	w, err := NewWatch(o.Charts)
	if err != nil {
		return err
	}
	c := &Charts{}
	for _, one := range occasions {
		before := w
		now := w.Add(one.Check)
		now.Check = one.last
		now.unhide(before, one, o)
		c.Course = append(c.Course, now)
		for _, p := range now.Signals {
			c.Signals = append(c.Signals, Signal{p.Chart, one.last, one.Time, p.What})
		}
	}
	r.broke = brokeFrom(c.Course, r.Steps == nil)
	c.Baseline, _ = w.Baseline()
	switch {
	case slices.ContainsFunc(c.Course, func(k Charted) bool { return k.Judged }):
		c.SigmaUncertainty = c.Baseline.SigmaUncertainty()
		c.Charts = c.states(w.settings)
		if !o.Quick {
			c.runLengths(w.settings)
		}
		r.Charts = c
	case w.learned.freedom < 2:
		r.ChartsRefused = gauge.Say("charts.few")
	case w.learned.squares > 0:
		r.ChartsRefused = gauge.Say("charts.equal_before")
	default:
		r.ChartsRefused = gauge.Say("charts.equal")
	}
	return nil
}

// unhide points at an occasion of which a check failed that is far out by itself, also
// where the mean of the occasion is not.
func (c *Charted) unhide(before Watch, o occasion, by Options) {
	single := func(p Pointed) bool { return p.Chart == SingleChart }
	worst := o.worst(by)
	if len(o.checks) > 1 && worst.fails(by) && !slices.ContainsFunc(c.Signals, single) && slices.ContainsFunc(before.Add(worst).Signals, single) {
		c.Signals = append(c.Signals, Pointed{SingleChart, gauge.Say("charts.hidden")})
	}
}

// states describes the charts after the last check.
func (c *Charts) states(s ChartSettings) []State {
	b, last := c.Baseline, c.Course[len(c.Course)-1]
	low, high := last.Low, last.High
	if !last.Judged {
		low, high = b.limits(s.Single)
	}
	states := []State{
		{Name: SingleChart, Value: last.Found, Low: low, High: high},
		{Name: CUSUMChart, Value: max(last.Above, last.Below) * b.Sigma, High: s.Height * b.Sigma},
	}
	if s.Lambda > 0 {
		low, high = b.limits(s.Width * math.Sqrt(s.Lambda/(2-s.Lambda)))
		states = append(states, State{Name: EWMAChart, Value: b.Centre + last.Average*b.Sigma, Low: low, High: high})
	}
	for i := range states {
		for _, signal := range c.Signals {
			if signal.Chart == states[i].Name {
				states[i].Signals++
			}
		}
	}
	return states
}

// runLengths computes those of the charts.
func (c *Charts) runLengths(s ChartSettings) {
	for i := range c.Charts {
		state := &c.Charts[i]
		length := map[string]func(shift float64) float64{
			SingleChart: func(shift float64) float64 { return ShewhartRunLength(s.Single, shift) },
			CUSUMChart:  func(shift float64) float64 { return CUSUMRunLength(s.Slack, s.Height, shift) },
			EWMAChart:   func(shift float64) float64 { return EWMARunLength(s.Lambda, s.Width, shift) },
		}[state.Name]
		state.RunLength, state.Shifted = min(length(0), longest), min(length(1), longest)
	}
}

// Spreads is the control of the spread within the checks.
type Spreads struct {
	Pooled  float64  `json:"pooled"`
	DoF     int      `json:"degrees_of_freedom"`
	Level   float64  `json:"false_alarms_per_check"`
	Last    *Spread  `json:"last,omitempty"` // of the last check that has one
	Signals []Signal `json:"signals"`
}

// SpreadWatch judges the spread of each check by that within the checks before it,
// those left out that it pointed at. It is of fixed size.
type SpreadWatch struct {
	Precision
	Level float64 // probability that a healthy check is pointed at
}

// NewSpreadWatch is one of so many masters that are looked at together.
func NewSpreadWatch(masters int) SpreadWatch {
	return SpreadWatch{Level: spreadLevel / float64(max(masters, 1))}
}

// Add takes the next check; it fails where there is nothing to judge.
func (w *SpreadWatch) Add(c Check) (Spread, error) {
	judged, err := w.Judge(c.Spread, c.Repeats, w.Level)
	if err != nil || !judged.Signal {
		w.Learn(c.Spread, c.Repeats) // a check without repeats says nothing here
	}
	return judged, err
}

// spreads judges the spread of each check.
func (r *Review) spreads(checks []Check, masters int) {
	w := NewSpreadWatch(masters)
	s := &Spreads{Level: w.Level}
	for i, c := range checks {
		judged, err := w.Add(c)
		if err != nil {
			continue
		}
		if s.Last = &judged; judged.Signal {
			what := gauge.Say("charts.spread", gauge.Shown("times", fmt.Sprintf("%.1f", math.Sqrt(judged.F)), gauge.UnitUnknown))
			s.Signals = append(s.Signals, Signal{SpreadChart, i + 1, c.Time, what})
		}
	}
	s.Pooled, s.DoF = w.Pooled()
	if !(s.Pooled > 0) {
		r.SpreadsRefused = gauge.Say("charts.no_spread")
		return
	}
	r.Spreads = s
}

// noiseLevel is the probability that a gauge is said to scatter too much which does not.
const noiseLevel = 0.01

// Noise is a standard deviation that is larger than it may be.
type Noise struct {
	Kind    NoiseKind `json:"kind"`
	Found   float64   `json:"found"`
	Allowed float64   `json:"allowed"`
}

// NoiseKind says what scatters.
type NoiseKind string

// The kinds of noise.
const (
	// NoiseBetween: three times the scatter from check to check is beyond the limit, so
	// that no check can tell whether the gauge is within it; a third of it is allowed.
	NoiseBetween NoiseKind = "between checks"
	// NoiseWithin: the repeats scatter more than is stated of the gauge.
	NoiseWithin NoiseKind = "within checks"
)

// noise holds what the checks scatter by against what they are for, and against
// what is stated of the gauge.
func (r *Review) noise(o Options) {
	hold := func(kind NoiseKind, sd float64, dof int, allowed float64) {
		if allowed > 0 && least(sd, dof) > allowed {
			r.Noise = append(r.Noise, Noise{kind, sd, allowed})
		}
	}
	if r.Charts != nil {
		hold(NoiseBetween, r.Charts.Baseline.Sigma, r.Charts.Baseline.Freedom, o.MPE/3)
	}
	if r.Spreads != nil {
		hold(NoiseWithin, r.Spreads.Pooled, r.Spreads.DoF, o.Deviation)
	}
}

// least is the standard deviation that is hardly below the true one, by chi-square.
func least(sd float64, dof int) float64 {
	if dof < 1 {
		return sd
	}
	return sd * math.Sqrt(float64(dof)/uncertainty.ChiSquareQuantile(1-noiseLevel, float64(dof)))
}
