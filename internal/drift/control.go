package drift

import (
	"fmt"
	"math"
	"time"
)

// Charts are the control charts of the errors as found. Averages and sums
// begin after the baseline, and all begin anew after an adjustment.
type Charts struct {
	Baseline         Baseline  `json:"baseline"`
	SigmaUncertainty float64   `json:"relativeUncertaintyOfSigma"`
	Charts           []State   `json:"charts"`
	Signals          []Signal  `json:"signals"`
	Course           []Charted `json:"-"` // of each check, to be drawn
}

// Charted is what the charts make of one check.
type Charted struct {
	Found     float64
	Range     *float64 // from the check before; nil: it is the first, or the first after an adjustment
	Averaged  bool     // it is after the baseline, and the averages and sums have it
	Average   float64  // EWMA
	High, Low float64  // sums of the CUSUM
}

// State is one chart after the last check.
type State struct {
	Name    string  `json:"name"`
	Value   float64 `json:"value"` // that is compared now
	Low     float64 `json:"low"`   // its limits
	High    float64 `json:"high"`
	Signals int     `json:"signals"`

	// RunLength is the average number of checks to a signal while nothing has
	// changed; Least and Most are what it is when sigma is by two of its
	// uncertainties smaller and larger than it should be. Shifted is the run
	// length when the error has moved by one sigma, 0 for moving ranges, which do
	// not see it.
	RunLength float64 `json:"runLength"`
	Least     float64 `json:"runLengthLeast"`
	Most      float64 `json:"runLengthMost"`
	Shifted   float64 `json:"runLengthAfterOneSigma"`
}

// Signal is one check that a chart points at.
type Signal struct {
	Chart string    `json:"chart"`
	Check int       `json:"check"` // from 1
	Time  time.Time `json:"time"`
	What  string    `json:"what"`
}

// The names of the charts.
const (
	SingleChart = "individuals"
	RangeChart  = "moving range"
	EWMAChart   = "EWMA"
	CUSUMChart  = "CUSUM"
)

// control runs the charts; first is the number of checks that limits are made from
// where they are not known otherwise.
func (r *Review) control(checks []Check, first int, s ChartSettings) {
	b, made, refused := s.baseline(checks, first)
	if refused != "" {
		r.ChartsRefused = refused
		return
	}
	run := charting{single: NewIndividuals(b), ewma: NewEWMA(b, s.Lambda, s.Width), cusum: NewCUSUM(b, s.Slack, s.Height)}
	for i, c := range checks {
		run.add(i, c, i >= made)
	}
	r.Charts = &Charts{Baseline: b, SigmaUncertainty: b.SigmaUncertainty(), Signals: run.signals, Charts: run.states(b), Course: run.course}
}

// charting is the charts while they run.
type charting struct {
	single  *Individuals
	ewma    *EWMA
	cusum   *CUSUM
	last    Individual
	value   float64
	signals []Signal
	course  []Charted
}

func (r *charting) add(i int, c Check, after bool) {
	signal := func(chart, what string) {
		r.signals = append(r.signals, Signal{chart, i + 1, c.Time, what})
	}
	now := Charted{Found: c.Found, Averaged: after}
	ranged := r.single.begun
	r.last, r.value = r.single.Add(c.Found), c.Found
	if ranged {
		moved := r.last.MovingRange
		now.Range = &moved
	}
	for _, rule := range r.last.Rules {
		signal(SingleChart, string(rule))
	}
	if r.last.RangeSignal {
		signal(RangeChart, "above its limit")
	}
	if after {
		if r.ewma.Add(c.Found) {
			signal(EWMAChart, "outside its limits")
		}
		if r.cusum.Add(c.Found) {
			side := "upper"
			if r.cusum.Low > r.cusum.High {
				side = "lower"
			}
			signal(CUSUMChart, side+" sum above its limit")
		}
		now.Average, now.High, now.Low = r.ewma.Value, r.cusum.High, r.cusum.Low
	}
	r.course = append(r.course, now)
	if c.Left != nil {
		r.single.Reset()
		r.ewma.Reset()
		r.cusum.Reset()
	}
}

// states describes the charts with their run lengths.
func (r *charting) states(b Baseline) []State {
	low, high, moving := r.single.Limits()
	averageLow, averageHigh := r.ewma.Limits()
	states := []State{
		r.state(b, SingleChart, r.value, low, high, func(scale, shift float64) float64 { return rulesRunLength(Rules(), shift, scale) }),
		r.state(b, RangeChart, r.last.MovingRange, 0, moving, func(scale, shift float64) float64 {
			if shift != 0 { // a shift that stays moves two neighbours alike
				return 0
			}
			return MovingRangeRunLength(rangeUpper * rangeMean * scale)
		}),
		r.state(b, EWMAChart, r.ewma.Value, averageLow, averageHigh, func(scale, shift float64) float64 {
			return EWMARunLength(r.ewma.Lambda, r.ewma.Width*scale, shift)
		}),
		r.state(b, CUSUMChart, max(r.cusum.High, r.cusum.Low), 0, r.cusum.Limit(), func(scale, shift float64) float64 {
			return CUSUMRunLength(r.cusum.Slack*scale, r.cusum.Height*scale, shift)
		}),
	}
	for i := range states {
		for _, s := range r.signals {
			if s.Chart == states[i].Name {
				states[i].Signals++
			}
		}
	}
	return states
}

func (r *charting) state(b Baseline, name string, value, low, high float64, length func(scale, shift float64) float64) State {
	off := 2 * b.SigmaUncertainty()
	finite := func(scale, shift float64) float64 { return min(length(scale, shift), longest) }
	return State{
		Name: name, Value: value, Low: low, High: high,
		RunLength: finite(1, 0), Least: finite(max(1-off, 0.1), 0), Most: finite(1+off, 0), Shifted: finite(1, 1),
	}
}

// Spreads is the control of the spread within the checks.
type Spreads struct {
	Pooled  float64  `json:"pooled"`
	DoF     int      `json:"degreesOfFreedom"`
	Last    *Spread  `json:"last,omitempty"` // of the last check that has one
	Signals []Signal `json:"signals"`
}

// spreads judges the checks after the baseline by the spread within the
// baseline.
func (r *Review) spreads(checks []Check, baseline int) {
	var p Precision
	for _, c := range checks[:min(baseline, len(checks))] {
		p.Learn(c.Spread, c.Repeats)
	}
	pooled, dof := p.Pooled()
	if !(pooled > 0) {
		r.SpreadsRefused = fmt.Sprintf("the first %d checks state no spread above 0", min(baseline, len(checks)))
		return
	}
	s := &Spreads{Pooled: pooled, DoF: dof}
	for i, c := range checks[min(baseline, len(checks)):] {
		judged, err := p.Judge(c.Spread, c.Repeats)
		if err != nil {
			continue // a check without repeats says nothing here
		}
		s.Last = &judged
		if judged.Signal {
			what := fmt.Sprintf("spread %.1f times the pooled one", math.Sqrt(judged.F))
			s.Signals = append(s.Signals, Signal{"spread", baseline + i + 1, c.Time, what})
		}
	}
	r.Spreads = s
}
