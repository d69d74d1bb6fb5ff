package study

import (
	"math"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// BiasResult is the bias of a gauge: the mean of its errors, tested by its
// standard deviation and by its range (MSA manual; e-Handbook, 2.4.5.5).
type BiasResult struct {
	Readings    int           `json:"readings"`
	Reference   *float64      `json:"reference,omitempty"` // nil when it differs from row to row
	Mean        *float64      `json:"mean,omitempty"`
	Bias        float64       `json:"bias"`
	Confidence  float64       `json:"confidence"`
	Alpha       float64       `json:"alpha"`
	ByDeviation BiasTest      `json:"by_standard_deviation"`
	ByRange     *RangedTest   `json:"by_range,omitempty"`
	NoRange     gauge.Message `json:"no_range,omitzero"` // why there is none
	// OfTolerance is the repeatability's spread in percent of the tolerance.
	OfTolerance *float64 `json:"repeatability_percent_tolerance,omitempty"`
	// BiasOfTolerance is the bias in percent of the tolerance.
	BiasOfTolerance *float64        `json:"bias_percent_tolerance,omitempty"`
	Verdict         Verdict         `json:"verdict"`
	Notes           []gauge.Message `json:"notes,omitempty"`
}

// BiasTest is a t test of a mean error against 0.
type BiasTest struct {
	Deviation float64  `json:"standard_deviation"`
	Error     float64  `json:"standard_error"`
	Test      TTest    `json:"t_test"`
	Interval  Interval `json:"interval"`
}

// RangedTest is a test whose standard deviation comes from a range.
type RangedTest struct {
	Range  float64 `json:"range"`
	D2Star float64 `json:"d2_star"`
	BiasTest
}

// longestRange is the greatest number of readings of one range: that of the
// printed tables of d2*.
const longestRange = 20

// Bias studies readings with reference values. d2Star, when it is not 0, is
// used for the range in place of the computed one.
func Bias(d *Data, d2Star float64, o Options) (*BiasResult, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	if d.Summary {
		return nil, refused(d.File, "refusal.figures.bias-means")
	}
	if err := oneReference(d); err != nil {
		return nil, err
	}
	errs, err := errorsOf(d, 2)
	if err != nil {
		return nil, err
	}
	n := float64(len(errs))
	mean, sd := uncertainty.MeanStdDev(errs)
	r := &BiasResult{Readings: len(errs), Bias: mean, Confidence: o.Confidence, Alpha: o.Alpha, ByDeviation: biasTest(mean, sd, n, n-1, o)}
	r.reference(d)
	r.ranged(errs, d2Star, o)
	if o.Tolerance > 0 {
		repeat, bias := 100*o.Spread*sd/o.Tolerance, 100*math.Abs(mean)/o.Tolerance
		r.OfTolerance, r.BiasOfTolerance = &repeat, &bias
	}
	r.Notes = append(r.Notes, d.leftOut()...)
	r.judge()
	return r, nil
}

// oneReference refuses readings of several masters, each with readings of its own: their
// errors may cancel in the mean. In pairs of two set-ups nearly every row has another
// reference value.
func oneReference(d *Data) error {
	masters := distinct(d.Rows, func(r Row) string {
		if r.Part != "" {
			return r.Part
		}
		return strconv.FormatFloat(r.Reference, 'f', -1, 64)
	})
	if n := len(masters); n > 1 && 2*n <= len(d.Rows) {
		return refused(d.File, "refusal.figures.several-masters", gauge.Count("count", n), gauge.Texts("masters", masters[:min(n, 4)]))
	}
	return nil
}

// errorsOf returns the errors of at least n readings that are not all equal.
func errorsOf(d *Data, least int) ([]float64, error) {
	var errs []float64
	scatter := false
	for _, r := range d.Rows {
		errs = append(errs, r.Error)
		scatter = scatter || r.Error != errs[0]
	}
	switch {
	case len(errs) < least:
		return nil, refused(d.File, "refusal.figures.few", gauge.Count("count", len(errs)), gauge.Count("need", least))
	case !scatter:
		return nil, refused(d.File, "refusal.figures.equal-errors", gauge.Shown("error", Number(errs[0]), gauge.UnitUnknown))
	}
	return errs, nil
}

func biasTest(mean, sd, n, freedom float64, o Options) BiasTest {
	standard := sd / math.Sqrt(n)
	half := coverage(o.Confidence, freedom) * standard
	return BiasTest{
		Deviation: sd, Error: standard, Test: newTTest(mean, standard, freedom),
		Interval: Interval{Low: mean - half, High: mean + half},
	}
}

func (r *BiasResult) reference(d *Data) {
	reference := d.Rows[0].Reference
	for _, row := range d.Rows {
		if row.Reference != reference {
			return
		}
	}
	mean := reference + r.Bias
	r.Reference, r.Mean = &reference, &mean
}

// ranged fills in the test by the range of all readings.
func (r *BiasResult) ranged(errs []float64, d2Star float64, o Options) {
	r.ByRange, r.NoRange = rangedTest(errs, r.Bias, d2Star, o)
}

// rangedTest is the test by the range, or why there is none.
func rangedTest(errs []float64, mean, d2Star float64, o Options) (*RangedTest, gauge.Message) {
	n := len(errs)
	if n > longestRange {
		return nil, gauge.Say("norange.long", gauge.Count("most", longestRange))
	}
	if d2Star < 0 || math.IsNaN(d2Star) || math.IsInf(d2Star, 0) {
		return nil, gauge.Say("norange.factor")
	}
	moments := rangeOf(n)
	if d2Star == 0 {
		d2Star = moments.d2Star(1)
	}
	t := &RangedTest{Range: spread(errs), D2Star: d2Star}
	t.BiasTest = biasTest(mean, t.Range/d2Star, float64(n), moments.freedom(1), o)
	return t, gauge.Message{}
}

// biased tells whether 0 lies outside the interval.
func (r *BiasResult) biased() bool {
	i := r.ByDeviation.Interval
	return i.Low > 0 || i.High < 0
}

func (r *BiasResult) judge() {
	t := r.ByDeviation
	p, low, high := chanceOf(t.Test.P), known("low", t.Interval.Low, t.Error), known("high", t.Interval.High, t.Error)
	text := gauge.Say("judged.no_bias", p, low, high, trust(r.Confidence))
	if r.biased() {
		text = gauge.Say("judged.biased", p, low, high, trust(r.Confidence), known("error", t.Error, t.Error))
	}
	r.Verdict = Verdict{Text: text, Rule: gauge.Say("ruled.bias"), Origin: gauge.Say("ruled.origin-bias")}
}
