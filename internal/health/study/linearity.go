package study

import (
	"math"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// LinearityResult is how the error of a gauge changes over its range (MSA
// manual; e-Handbook, 2.4.5.2).
type LinearityResult struct {
	Readings      int              `json:"readings"`
	Line          Line             `json:"line"` // error against reference value
	InterceptTest TTest            `json:"intercept_t_test"`
	SlopeTest     TTest            `json:"slope_t_test"`
	Confidence    float64          `json:"confidence"`
	Alpha         float64          `json:"alpha"`
	Points        []LinearityPoint `json:"references"`
	// Misfit tests whether the errors lie on a line at all; nil without repeats.
	Misfit *FTest `json:"lack_of_fit,omitempty"`
	// Change is the change of the error over the range of references, and in
	// percent of the tolerance.
	Change      float64         `json:"change_over_range"`
	OfTolerance *float64        `json:"change_percent_tolerance,omitempty"`
	Verdict     Verdict         `json:"verdict"`
	Notes       []gauge.Message `json:"notes,omitempty"`
}

// LinearityPoint is what is known at one reference value.
type LinearityPoint struct {
	Reference float64  `json:"reference"`
	Count     int      `json:"count"`
	Error     float64  `json:"mean_error"`
	Line      float64  `json:"line"`
	Band      Interval `json:"confidence_band"` // of the line, at this reference alone
	P         *float64 `json:"p,omitempty"`     // of the mean error, nil for one reading or equal ones

	off float64 // reference value, counted from the first
}

// Linearity studies readings at several reference values.
func Linearity(d *Data, o Options) (*LinearityResult, error) {
	o, err := o.with()
	if err != nil {
		return nil, err
	}
	if d.Summary {
		return nil, refused(d.File, "refusal.figures.linearity-means")
	}
	errs, err := errorsOf(d, 4)
	if err != nil {
		return nil, err
	}
	var x []float64 // counted from the first reference value: an offset takes no digits
	at := map[float64][]float64{}
	for _, r := range d.Rows {
		x = append(x, r.off)
		at[r.off] = append(at[r.off], r.Error)
	}
	if len(at) < 3 {
		return nil, refused(d.File, "refusal.figures.few-references", gauge.Count("count", len(at)))
	}
	r := &LinearityResult{Readings: len(errs), Line: Fit(x, errs).from(d.known), Confidence: o.Confidence, Alpha: o.Alpha}
	if r.Line.Residual == 0 {
		return nil, refused(d.File, "refusal.figures.on-a-line")
	}
	r.InterceptTest = newTTest(r.Line.Intercept, r.Line.InterceptErr, r.Line.Freedom)
	r.SlopeTest = newTTest(r.Line.Slope, r.Line.SlopeErr, r.Line.Freedom)
	r.points(at, d.known, o)
	r.misfit(at)
	r.Change = r.Line.Slope * (slices.Max(x) - slices.Min(x))
	if o.Tolerance > 0 {
		percent := 100 * r.Change / o.Tolerance
		r.OfTolerance = &percent
	}
	r.Notes = append(r.Notes, d.leftOut()...)
	r.judge()
	return r, nil
}

func (r *LinearityResult) points(at map[float64][]float64, origin float64, o Options) {
	k := coverage(o.Confidence, r.Line.Freedom)
	for off, errs := range at {
		value, standard := r.Line.at(off)
		mean, sd := uncertainty.MeanStdDev(errs)
		p := LinearityPoint{
			Reference: origin + off, Count: len(errs), off: off, Error: mean, Line: value,
			Band: Interval{Low: value - k*standard, High: value + k*standard},
		}
		if len(errs) > 1 && sd > 0 {
			test := biasTest(mean, sd, float64(len(errs)), float64(len(errs)-1), o).Test
			p.P = &test.P
		}
		r.Points = append(r.Points, p)
	}
	slices.SortFunc(r.Points, func(a, b LinearityPoint) int {
		if a.off < b.off {
			return -1
		}
		return 1
	})
}

// misfit compares the distances of the mean errors from the line with the
// repeats (lack of fit; e-Handbook, 4.4.4.6).
func (r *LinearityResult) misfit(at map[float64][]float64) {
	within := 0.0
	for _, p := range r.Points {
		within += squares(at[p.off])
	}
	pure := newTerm("repeats", within, float64(r.Readings-len(r.Points)))
	away := newTerm("distance from the line", max(0, square(r.Line.Residual)*r.Line.Freedom-within), float64(len(r.Points)-2))
	away.against(pure)
	r.Misfit = away.F
}

func (r *LinearityResult) sloped() bool { return r.SlopeTest.P < r.Alpha }

// offset tells whether the errors differ from 0 somewhere.
func (r *LinearityResult) offset() bool {
	for _, p := range r.Points {
		if p.Band.Low > 0 || p.Band.High < 0 {
			return true
		}
	}
	return r.InterceptTest.P < r.Alpha
}

func (r *LinearityResult) judge() {
	p := chanceOf(r.SlopeTest.P)
	text := gauge.Say("judged.straight", p)
	switch {
	case r.sloped():
		text = gauge.Say("judged.sloped", known("slope", r.Line.Slope, r.Line.SlopeErr), p, known("change", r.Change, r.Line.SlopeErr*math.Abs(r.Change/r.Line.Slope)))
	case r.offset():
		text = gauge.Say("judged.only_offset", p)
	}
	if r.Misfit != nil && r.Misfit.P < r.Alpha {
		text = gauge.Sentences(text, gauge.Say("judged.misfit", chanceOf(r.Misfit.P)))
	}
	r.Verdict = Verdict{Text: text, Rule: gauge.Say("ruled.linearity"), Origin: gauge.Say("ruled.origin-msa")}
}
