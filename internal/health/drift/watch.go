package drift

import (
	"math"

	"gauged/internal/gauge"
)

// The names of the charts.
const (
	SingleChart = "individuals"
	CUSUMChart  = "CUSUM"
	EWMAChart   = "EWMA"
	SpreadChart = "spread"
)

// leastEqual is from how many equal errors on a different one is more than a digit that
// was about to change; ours.
const leastEqual = 3

// Watch is the control charts of the errors at one place of a gauge, while they
// run. It is of fixed size, and a copy of it goes on by itself.
//
// Where centre and sigma are not given, the charts start by themselves: each check is
// compared with the checks before it, with the uncertainty of so few, so that
// false alarms are as rare after 3 checks as after 300. A check far out on its own is
// not learned from. An adjustment begins a new level; the scatter stays.
type Watch struct {
	settings ChartSettings
	learned  learned
	cusum    CUSUM // of standardised errors, as is the EWMA
	ewma     EWMA
}

// NewWatch returns charts without any checks.
func NewWatch(s ChartSettings) (Watch, error) {
	s, err := s.with()
	if err != nil {
		return Watch{}, err
	}
	unit := Baseline{Sigma: 1}
	return Watch{settings: s, cusum: *NewCUSUM(unit, s.Slack, s.Height), ewma: *NewEWMA(unit, s.Lambda, s.Width)}, nil
}

// Charted is what the charts make of one check. Sums and average are in sigma, the
// average from the centre.
type Charted struct {
	Check     int // number of the last check of the occasion, from 1
	Found     float64
	Judged    bool    // there was enough to compare the check with
	Low, High float64 // limits of the error as found, when judged
	Centre    float64 // that it was compared with
	Average   float64 // EWMA
	Above     float64 // sums of the CUSUM
	Below     float64
	Broke     bool // it differs from errors that were all equal, which gave no limits
	Changed   bool // the gauge was adjusted after it
	Signals   []Pointed
}

// Pointed is one chart that points at a check, and why.
type Pointed struct {
	Chart string
	What  gauge.Message
}

// Add takes the next check.
func (w *Watch) Add(c Check) Charted {
	now := Charted{Found: c.Found}
	point := func(chart, code string) { now.Signals = append(now.Signals, Pointed{chart, gauge.Say(code)}) }
	z, away := 0.0, 0.0
	now.Judged = true
	switch known := w.settings.Known; {
	case known != nil:
		now.Centre, away = known.Centre, w.settings.Single*known.Sigma
		z = (c.Found - known.Centre) / known.Sigma
	case w.learned.ready(w.settings.Step):
		now.Centre, away = w.learned.level, w.learned.distance(w.settings.Single, w.settings.Step)
		z = w.learned.standardised(c.Found, w.settings.Step)
	default:
		now.Judged = false
		now.Broke = w.learned.here >= leastEqual && w.learned.squares == 0 && c.Found != w.learned.level
	}
	far := false
	if now.Judged {
		now.Low, now.High = now.Centre-away, now.Centre+away
		if far = math.Abs(z) > w.settings.Single; far {
			point(SingleChart, "charts.beyond")
		}
		if w.cusum.Add(z) {
			side := "charts.upper_sum"
			if w.cusum.Low > w.cusum.High {
				side = "charts.lower_sum"
			}
			point(CUSUMChart, side)
		}
		if w.settings.Lambda > 0 && w.ewma.Add(z) {
			point(EWMAChart, "charts.outside")
		}
	}
	now.Average, now.Above, now.Below = w.ewma.Value, w.cusum.High, w.cusum.Low
	if !far {
		w.learned.learn(c.Found)
	}
	if now.Changed = c.Changed(); now.Changed {
		w.learned.adjusted(c.Left)
		w.cusum.Reset()
		w.ewma.Reset()
	}
	return now
}

// Baseline is what the next check is compared with; ok is false before there is one.
func (w *Watch) Baseline() (b Baseline, ok bool) {
	if w.settings.Known != nil {
		return Baseline{Centre: w.settings.Known.Centre, Sigma: w.settings.Known.Sigma}, true
	}
	return Baseline{w.learned.level, w.learned.sigma(w.settings.Step), w.learned.freedom}, w.learned.ready(w.settings.Step)
}

// brokeFrom says that the last error, or with all any error since the last adjustment,
// differs from errors that were all equal.
func brokeFrom(course []Charted, all bool) bool {
	for i := len(course) - 1; i >= 0; i-- {
		switch {
		case course[i].Broke:
			return true
		case !all, i > 0 && course[i-1].Changed:
			return false
		}
	}
	return false
}
