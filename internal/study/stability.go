package study

import (
	"fmt"
	"math"

	"gauged/internal/statistics"
)

// StabilityResult is the errors of a gauge over time, against the limits of an
// individuals chart (e-Handbook, 6.3.2.2), and their trend.
type StabilityResult struct {
	Readings   int     `json:"readings"`
	Mean       float64 `json:"mean"`
	MeanRange  float64 `json:"mean_moving_range"`
	Deviation  float64 `json:"standard_deviation"` // mean moving range over 1.128
	Lower      float64 `json:"lower_limit"`
	Upper      float64 `json:"upper_limit"`
	UpperRange float64 `json:"upper_moving_range_limit"`
	// RunLength is how many readings of a stable gauge pass, on average, between
	// two false alarms of the limits, were they exactly known.
	RunLength  float64 `json:"average_run_length"`
	Outside    []Point `json:"outside"`
	RangesOut  []Point `json:"moving_ranges_above"`
	Confidence float64 `json:"confidence"`
	Alpha      float64 `json:"alpha"`
	// Trend is the change of the error from one reading to the next.
	Trend         float64  `json:"trend_per_reading"`
	TrendErr      float64  `json:"trend_standard_error"`
	TrendTest     TTest    `json:"trend_t_test"`
	TrendInterval Interval `json:"trend_interval"`
	Verdict       Verdict  `json:"verdict"`
	Notes         []string `json:"notes,omitempty"`
}

// Point is a reading of a series, counted from 1.
type Point struct {
	Number int     `json:"number"`
	Line   int     `json:"line"` // of the file
	Time   string  `json:"time,omitempty"`
	Value  float64 `json:"value"`
}

const (
	d2OfTwo      = 1.128 // of a moving range, as the e-Handbook prints it
	d4OfTwo      = 3.267
	fewest       = 8      // readings that make limits at all
	few          = 20     // below which limits are rough
	threeSigma   = 3.0    // distance of the limits
	normalLength = 370.40 // of limits at three sigma (e-Handbook, 6.3.2.3.1 prints 371)
)

// Stability studies errors, or plain readings where there is no reference
// value, in the order of their rows.
func Stability(d *Data, o Options) (*StabilityResult, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	if d.Summary {
		return nil, fmt.Errorf("%s: stability takes single readings, not means with their standard deviations: give the means as values, without --deviation", d.File)
	}
	x, origin, err := series(d)
	if err != nil {
		return nil, err
	}
	r := &StabilityResult{Readings: len(x), Confidence: o.Confidence, Alpha: o.Alpha, RunLength: normalLength}
	mean, _ := statistics.MeanStdDev(x)
	var moving []float64
	for i := 1; i < len(x); i++ {
		moving = append(moving, math.Abs(x[i]-x[i-1]))
	}
	r.Mean = mean + origin
	r.MeanRange, _ = statistics.MeanStdDev(moving)
	r.Deviation = r.MeanRange / d2OfTwo
	r.Lower, r.Upper = r.Mean-threeSigma*r.Deviation, r.Mean+threeSigma*r.Deviation
	r.UpperRange = d4OfTwo * r.MeanRange
	for i, row := range d.Rows {
		if math.Abs(x[i]-mean) > threeSigma*r.Deviation {
			r.Outside = append(r.Outside, Point{i + 1, row.Line, row.Time, x[i] + origin})
		}
		if i > 0 && moving[i-1] > r.UpperRange {
			r.RangesOut = append(r.RangesOut, Point{i + 1, row.Line, row.Time, moving[i-1]})
		}
	}
	r.trend(x, o)
	if len(x) < few {
		r.Notes = append(r.Notes, fmt.Sprintf("Limits from %d readings are rough: go on to %d at least.", len(x), few))
	}
	if d.Empty > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d rows without a value were left out.", d.Empty))
	}
	r.judge()
	return r, nil
}

// series returns what is charted, and what it counts from.
func series(d *Data) (x []float64, origin float64, err error) {
	for _, row := range d.Rows {
		if d.Has(Reference) {
			x = append(x, row.Error)
		} else {
			x = append(x, row.Value)
		}
	}
	if len(x) < fewest {
		return nil, 0, fmt.Errorf("%s: too few readings, %d: limits take %d at least, better %d; go on measuring", d.File, len(x), fewest, few)
	}
	if spread(x) == 0 {
		return nil, 0, fmt.Errorf("%s: all readings are equal: the gauge's resolution hides its scatter, and there are no limits without it; read with a finer resolution", d.File)
	}
	if !d.Has(Reference) {
		origin = d.Origin
	}
	return x, origin, nil
}

func (r *StabilityResult) trend(x []float64, o Options) {
	number := make([]float64, len(x))
	for i := range number {
		number[i] = float64(i + 1)
	}
	l := Fit(number, x)
	half := coverage(o.Confidence, l.Freedom) * l.SlopeErr
	r.Trend, r.TrendErr, r.TrendInterval = l.Slope, l.SlopeErr, Interval{Low: l.Slope - half, High: l.Slope + half}
	r.TrendTest = newTTest(l.Slope, l.SlopeErr, l.Freedom)
	if l.SlopeErr == 0 { // exactly on a line
		r.TrendTest = TTest{Freedom: l.Freedom}
	}
}

const stabilityRule = "the gauge is stable when no reading lies outside the limits of the individuals chart, mean +- 3 mean moving range / 1.128, and the readings have no trend by a t test"

func (r *StabilityResult) drifts() bool { return r.TrendTest.P < r.Alpha }
func (r *StabilityResult) stable() bool { return !r.drifts() && len(r.Outside) == 0 }

func (r *StabilityResult) judge() {
	r.Verdict = Verdict{Rule: stabilityRule, Origin: "NIST/SEMATECH e-Handbook, 6.3.2.2; the trend: e-Handbook, 2.3.6.7"}
	drift := ""
	if r.drifts() {
		drift = fmt.Sprintf(" The readings drift by %s from one to the next (p %s).", Number(r.Trend), Probability(r.TrendTest.P))
	}
	word := "Not stable"
	if r.stable() {
		word = "Stable"
	}
	text := fmt.Sprintf("%s: %d of %d readings lie outside the limits; a stable gauge passes them about once in %.0f.%s", word, len(r.Outside), r.Readings, r.RunLength, drift)
	r.Verdict.Text = text
}
