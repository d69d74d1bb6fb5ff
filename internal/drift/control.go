package drift

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gauged/internal/statistics"
)

// Charts are the control charts of the errors as found.
type Charts struct {
	Baseline         Baseline  `json:"baseline"` // by all checks
	SigmaUncertainty float64   `json:"relativeUncertaintyOfSigma"`
	Charts           []State   `json:"charts"`
	Signals          []Signal  `json:"signals"`
	Course           []Charted `json:"-"` // of each check, to be drawn
}

// State is one chart after the last check, in the unit of the errors.
type State struct {
	Name    string  `json:"name"`
	Value   float64 `json:"value"` // that is compared now
	Low     float64 `json:"low"`   // its limits
	High    float64 `json:"high"`
	Signals int     `json:"signals"`

	// RunLength is the average number of judged checks to a signal while nothing has
	// changed, Shifted when the error has moved by one sigma from a level that is
	// known well: from one that was learned from few checks it takes longer.
	RunLength float64 `json:"runLength"`
	Shifted   float64 `json:"runLengthAfterOneSigma"`
}

// Signal is one check that a chart points at.
type Signal struct {
	Chart string    `json:"chart"`
	Check int       `json:"check"` // from 1
	Time  time.Time `json:"time"`
	What  string    `json:"what"`
}

// control runs the charts.
func (r *Review) control(checks []Check, o Options) error {
	w, err := NewWatch(o.Charts)
	if err != nil {
		return err
	}
	c := &Charts{}
	for i, check := range checks {
		now := w.Add(check)
		c.Course = append(c.Course, now)
		for _, p := range now.Signals {
			c.Signals = append(c.Signals, Signal{p.Chart, i + 1, check.Time, p.What})
		}
	}
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
		r.ChartsRefused = "the charts judge from the third check at one level on, by the checks before it: there are too few"
	default:
		r.ChartsRefused = "the errors are all equal, which gives no limits: state them with more digits, or give sigma"
	}
	return nil
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
	DoF     int      `json:"degreesOfFreedom"`
	Level   float64  `json:"falseAlarmsPerCheck"`
	Last    *Spread  `json:"last,omitempty"` // of the last check that has one
	Signals []Signal `json:"signals"`
}

// spreads judges each check by the spread within the checks before it, those left
// out that it pointed at.
func (r *Review) spreads(checks []Check, series int) {
	var p Precision
	s := &Spreads{Level: spreadLevel / float64(max(series, 1))}
	for i, c := range checks {
		judged, err := p.Judge(c.Spread, c.Repeats, s.Level)
		if err == nil {
			s.Last = &judged
			if judged.Signal {
				what := fmt.Sprintf("spread %.1f times the pooled one", math.Sqrt(judged.F))
				s.Signals = append(s.Signals, Signal{SpreadChart, i + 1, c.Time, what})
				continue
			}
		}
		p.Learn(c.Spread, c.Repeats) // a check without repeats says nothing here
	}
	s.Pooled, s.DoF = p.Pooled()
	if !(s.Pooled > 0) {
		r.SpreadsRefused = "no check states a spread above 0"
		return
	}
	r.Spreads = s
}

// noiseLevel is the probability that a gauge is said to scatter too much which does not.
const noiseLevel = 0.01

// noise holds what the checks scatter by against what they are for, and against
// what is stated of the gauge.
func (r *Review) noise(o Options) {
	if r.Charts != nil && o.MPE > 0 {
		if low := least(r.Charts.Baseline.Sigma, r.Charts.Baseline.Freedom); 3*low > o.MPE {
			r.Noise = append(r.Noise, fmt.Sprintf("From check to check the errors scatter by %.3g, and three times that is beyond the limit of %.4g: a check like these cannot tell whether the gauge is within it. Look for the cause (clamping, dirt, temperature), or take the mean of more repeats.", r.Charts.Baseline.Sigma, o.MPE))
		}
	}
	if r.Spreads != nil && o.Deviation > 0 && least(r.Spreads.Pooled, r.Spreads.DoF) > o.Deviation {
		r.Noise = append(r.Noise, fmt.Sprintf("Within the checks the repeats scatter by %.3g, stated of the gauge is %.3g.", r.Spreads.Pooled, o.Deviation))
	}
}

// least is the standard deviation that is hardly below the true one, by chi-square.
func least(sd float64, dof int) float64 {
	if dof < 1 {
		return sd
	}
	return sd * math.Sqrt(float64(dof)/statistics.ChiSquareQuantile(1-noiseLevel, float64(dof)))
}
