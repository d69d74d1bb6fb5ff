package study

import (
	"math"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// StabilityResult is the errors of a gauge over time, against the limits of an
// individuals chart (e-Handbook, 6.3.2.2), and their trend. Of several masters it is
// the result of the worst one, with all of them in Series and the verdict on all.
type StabilityResult struct {
	Part       string  `json:"part,omitempty"` // the master, where there are several
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
	Trend         float64         `json:"trend_per_reading"`
	TrendErr      float64         `json:"trend_standard_error"`
	TrendTest     TTest           `json:"trend_t_test"`
	TrendInterval Interval        `json:"trend_interval"`
	Verdict       Verdict         `json:"verdict"`
	Notes         []gauge.Message `json:"notes,omitempty"`

	Series []StabilityResult `json:"series,omitempty"` // each master by itself, where there are several
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
// value, in the order of their rows, each master by itself. The level of the tests is
// shared among the masters: it is that of the gauge.
func Stability(d *Data, o Options) (*StabilityResult, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	if d.Summary {
		return nil, refused(d.File, "refusal.figures.stability-means")
	}
	masters := d.Masters()
	one := o
	one.Alpha = 1 - math.Pow(1-o.Alpha, 1/float64(len(masters)))
	var all []StabilityResult
	for _, m := range masters {
		r, err := stability(d, m, len(masters) > 1, one)
		if err != nil {
			return nil, err
		}
		all = append(all, *r)
	}
	worst := all[0]
	for _, r := range all[1:] {
		if r.worse(worst) {
			worst = r
		}
	}
	if len(all) > 1 {
		worst.Series = all
		worst.Verdict = together(all)
	}
	if d.Has(Reference) && !d.Has(Part) && len(masters) == 1 && len(distinct(d.Rows, Row.reference)) > 1 {
		worst.Notes = append(worst.Notes, gauge.Say("noted.references_differ"))
	}
	worst.Notes = append(worst.Notes, d.leftOut()...)
	return &worst, nil
}

// worse says that the gauge is less stable at r than at s.
func (r StabilityResult) worse(s StabilityResult) bool {
	switch {
	case r.stable() != s.stable():
		return !r.stable()
	case len(r.Outside) != len(s.Outside):
		return len(r.Outside) > len(s.Outside)
	}
	return r.TrendTest.P < s.TrendTest.P
}

// together is the verdict on several masters.
func together(all []StabilityResult) Verdict {
	v := all[0].Verdict
	var bad []gauge.Arg
	for _, r := range all {
		if !r.stable() {
			bad = append(bad, gauge.Nested("", gauge.Say("judged.at_master", gauge.Text("master", r.Part), gauge.Nested("said", r.Verdict.Text))))
		}
	}
	v.Text = gauge.Say("judged.all_stable", gauge.Count("masters", len(all)), formatted("length", normalLength, 'f', 0))
	if len(bad) > 0 {
		v.Text = gauge.Say("judged.some_not_stable", gauge.Count("bad", len(bad)), gauge.Count("masters", len(all)), gauge.List("each", bad...))
	}
	return v
}

// Masters are the masters that the readings were taken at: the parts, or else the
// reference values where there are enough readings at each. Readings without either
// are of one.
func (d *Data) Masters() []string {
	switch {
	case d.Has(Part):
		return distinct(d.Rows, func(r Row) string { return r.Part })
	case !d.Has(Reference):
		return []string{""}
	}
	count := map[string]int{}
	for _, r := range d.Rows {
		count[r.reference()]++
	}
	for _, n := range count {
		if n < fewest {
			return []string{""}
		}
	}
	if len(count) == 1 {
		return []string{""}
	}
	return distinct(d.Rows, Row.reference)
}

// At are the rows of a master, as Masters names it.
func (d *Data) At(master string) (rows []Row) {
	for _, r := range d.Rows {
		if master == "" || d.Has(Part) && r.Part == master || !d.Has(Part) && r.reference() == master {
			rows = append(rows, r)
		}
	}
	return rows
}

// reference is the reference value in figures.
func (r Row) reference() string { return strconv.FormatFloat(r.Reference, 'g', -1, 64) }

// stability studies the readings at one master.
func stability(d *Data, master string, several bool, o Options) (*StabilityResult, error) {
	rows := d.At(master)
	if err := inOrder(d.File, rows); err != nil {
		return nil, err
	}
	if !several {
		master = ""
	}
	x, origin, err := series(d, rows, master)
	if err != nil {
		return nil, err
	}
	r := &StabilityResult{Part: master, Readings: len(x), Confidence: o.Confidence, Alpha: o.Alpha, RunLength: normalLength}
	mean, _ := uncertainty.MeanStdDev(x)
	var moving []float64
	for i := 1; i < len(x); i++ {
		moving = append(moving, math.Abs(x[i]-x[i-1]))
	}
	r.Mean = mean + origin
	r.MeanRange, _ = uncertainty.MeanStdDev(moving)
	r.Deviation = r.MeanRange / d2OfTwo
	r.Lower, r.Upper = r.Mean-threeSigma*r.Deviation, r.Mean+threeSigma*r.Deviation
	r.UpperRange = d4OfTwo * r.MeanRange
	for i, row := range rows {
		if math.Abs(x[i]-mean) > threeSigma*r.Deviation {
			r.Outside = append(r.Outside, Point{i + 1, row.Line, row.Time, x[i] + origin})
		}
		if i > 0 && moving[i-1] > r.UpperRange {
			r.RangesOut = append(r.RangesOut, Point{i + 1, row.Line, row.Time, moving[i-1]})
		}
	}
	r.trend(x, o)
	if len(x) < few {
		r.Notes = append(r.Notes, gauge.Say("noted.rough_limits", gauge.Count("readings", len(x)), gauge.Count("least", few)))
	}
	r.judge()
	return r, nil
}

// series returns what is charted of the rows of a master, and what it counts from.
func series(d *Data, rows []Row, master string) (x []float64, origin float64, err error) {
	for _, row := range rows {
		if d.Has(Reference) {
			x = append(x, row.Error)
		} else {
			x = append(x, row.Value)
		}
	}
	var at []gauge.Arg
	if master != "" {
		at = append(at, gauge.Text("master", master))
	}
	if len(x) < fewest {
		return nil, 0, refused(d.File, "refusal.figures.few-for-limits", append(at, gauge.Count("count", len(x)), gauge.Count("need", fewest), gauge.Count("better", few))...)
	}
	if spread(x) == 0 {
		return nil, 0, refused(d.File, "refusal.figures.equal-readings", at...)
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

func (r *StabilityResult) drifts() bool { return r.TrendTest.P < r.Alpha }

// stable tells whether the gauge is, at each master.
func (r *StabilityResult) stable() bool {
	for i := range r.Series {
		if !r.Series[i].stable() {
			return false
		}
	}
	return !r.drifts() && len(r.Outside) == 0
}

func (r *StabilityResult) judge() {
	code := "judged.not_stable"
	if r.stable() {
		code = "judged.stable"
	}
	text := gauge.Say(code, gauge.Count("outside", len(r.Outside)), gauge.Count("readings", r.Readings), formatted("length", r.RunLength, 'f', 0))
	if r.drifts() {
		text = gauge.Sentences(text, gauge.Say("judged.drifts", known("trend", r.Trend, r.TrendErr), chanceOf(r.TrendTest.P)))
	}
	r.Verdict = Verdict{Text: text, Rule: gauge.Say("ruled.stability"), Origin: gauge.Say("ruled.origin-stability")}
}
