package recall

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/jobs"
	"gauged/internal/uncertainty"
)

var day0 = time.Date(2025, 3, 1, 8, 0, 0, 0, time.UTC)

func day(n float64) time.Time { return day0.Add(time.Duration(n * 24 * float64(time.Hour))) }

func um(text string) gauge.Length { return gauge.MustLength(text, gauge.Micrometre) }

func curve(t testing.TB) func(Curve, error) Curve {
	return func(c Curve, err error) Curve {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
}

func must(t testing.TB) func(ErrorModel, error) ErrorModel {
	return func(e ErrorModel, err error) ErrorModel {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
}

func TestErrorModels(t *testing.T) {
	flat := curve(t)(Flat(um("10"), 1e-6))
	constant := Constant(day(2), flat)
	growing := must(t)(Growing(day(0), day(10), flat))
	piecewise := must(t)(Piecewise([]jobs.Point{
		{Time: day(0), Error: 0, Sigma: 1e-6}, {Time: day(4), Error: 8e-6, Sigma: 3e-6}, {Time: day(6), Error: 6e-6, Sigma: 1e-6},
	}))
	for _, c := range []struct {
		name       string
		model      ErrorModel
		day        float64
		off, sigma float64 // in micrometres
	}{
		{"constant, before it began", constant, 1, 0, 0},
		{"constant", constant, 2, 10, 1},
		{"growing, before the good check", growing, -1, 0, 0},
		{"growing, at the good check", growing, 0, 0, 1},
		{"growing, half way", growing, 5, 5, math.Sqrt(0.5)},
		{"growing, after it was found", growing, 12, 10, 1},
		{"piecewise, before the first point", piecewise, -3, 0, 1},
		{"piecewise, at a point", piecewise, 4, 8, 3},
		{"piecewise, between points", piecewise, 1, 2, 1.5},
		{"piecewise, after the last point", piecewise, 9, 6, 1},
	} {
		off := c.model(day(c.day), 0)
		if got, sigma := float64(off.Error)/1e6, Sigma(off.AddTo(nil, 1))/1e6; math.Abs(got-c.off) > 1e-6 || math.Abs(sigma-c.sigma) > 1e-9 {
			t.Errorf("%s: %g um with %g um, want %g and %g", c.name, got, sigma, c.off, c.sigma)
		}
	}
}

func TestModelsRefused(t *testing.T) {
	models := map[string]func() (ErrorModel, error){
		"the check that found the error must be later than the last good check": func() (ErrorModel, error) { return Growing(day0, day0, Curve{}) },
		"the error has no points":                                                            func() (ErrorModel, error) { return Piecewise(nil) },
		"point 2: it is earlier than the one before":                                         func() (ErrorModel, error) { return Piecewise([]jobs.Point{{Time: day(1)}, {Time: day(0)}}) },
		"point 1: the error is not a finite number":                                          func() (ErrorModel, error) { return Piecewise([]jobs.Point{{Error: math.NaN()}}) },
		"point 1: the uncertainty of the error must be a finite number that is not negative": func() (ErrorModel, error) { return Piecewise([]jobs.Point{{Sigma: math.NaN()}}) },
	}
	for want, f := range models {
		if _, err := f(); toldOf(err) != want {
			t.Errorf("got %v, want %s", toldOf(err), want)
		}
	}
}

// TestCorrect: an end play of 100 to 200 um, u = 5 um unless said otherwise,
// 95 % required; the gauge showed 20 um too much.
func TestCorrect(t *testing.T) {
	const conforms, fails, undecided = uncertainty.Conforms, uncertainty.DoesNotConform, uncertainty.Undecided
	for _, c := range []struct {
		name          string
		value         string
		coefficients  []float64
		standard      string
		sigma         float64
		low, high     gauge.Length
		corrected     string
		after         float64 // standard uncertainty, in picometres
		before, then  uncertainty.Verdict
		pBefore, pNow uncertainty.Probability // from tables of the normal distribution
		change        Change
	}{
		{"verified with it", "118", []float64{1}, "5", 0, um("100"), um("200"), "98", 5e6, conforms, undecided, 9998, 3446, Doubtful},
		{"it came off in the chain", "190", []float64{-1}, "5", 0, um("100"), um("200"), "210", 5e6, conforms, fails, 9772, 228, Flipped},
		{"twice in the chain", "185", []float64{-1, -1}, "5", 0, um("100"), um("200"), "225", 5e6, conforms, fails, 9987, 0, Flipped},
		{"a difference of two readings", "150", []float64{1, -1}, "5", 3e-6, um("100"), um("200"), "150", 5e6, conforms, conforms, 10000, 10000, Kept},
		{"the error itself is uncertain", "150", []float64{1}, "3", 4e-6, um("100"), um("200"), "130", 5e6, conforms, conforms, 10000, 10000, Kept},
		{"found bad and was good", "215", []float64{1}, "5", 0, um("100"), um("200"), "195", 5e6, fails, undecided, 13, 8413, Doubtful},
		{"flips to good", "215", []float64{1.5}, "5", 0, um("100"), um("200"), "185", 5e6, fails, conforms, 13, 9987, Flipped},
		{"no upper limit", "118", []float64{1}, "5", 0, um("100"), NoHigh, "98", 5e6, conforms, undecided, 9998, 3446, Doubtful},
		{"no limits", "118", []float64{1}, "5", 0, NoLow, NoHigh, "98", 5e6, conforms, conforms, 10000, 10000, Kept},
		{"on the limit without uncertainty", "120", []float64{1}, "0", 0, um("100"), um("200"), "100", 0, conforms, conforms, 10000, 10000, Kept},
		{"below it without uncertainty", "119.999999", []float64{1}, "0", 0, um("100"), um("200"), "99.999999", 0, conforms, fails, 10000, 0, Flipped},
		{"a third, rounded once", "150", []float64{1. / 3}, "5", 0, um("100"), um("200"), "143.333333", 5e6, conforms, conforms, 10000, 10000, Kept},
	} {
		e := Constant(day0, curve(t)(Flat(um("20"), c.sigma)))
		j := Job{Number: 7, Value: um(c.value), Low: c.low, High: c.high, Standard: um(c.standard)}
		for _, k := range c.coefficients {
			j.Uses = append(j.Uses, Use{Time: day(1), Coefficient: k})
		}
		r, err := Correct(j, e, 9500)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if r.Number != 7 || r.Corrected != um(c.corrected) || math.Abs(r.Standard-c.after) > 1e-3 || r.Before != c.before || r.After != c.then || r.Change() != c.change {
			t.Errorf("%s: got %+v, change %d", c.name, r, r.Change())
		}
		if r.ProbabilityBefore != c.pBefore || r.ProbabilityAfter != c.pNow {
			t.Errorf("%s: probabilities %d and %d, want %d and %d", c.name, r.ProbabilityBefore, r.ProbabilityAfter, c.pBefore, c.pNow)
		}
	}
}

func TestJobsRefused(t *testing.T) {
	e := Constant(day0, curve(t)(Flat(um("20"), 0)))
	good := Job{Value: um("100"), Low: 0, High: um("200"), Standard: um("1"), Uses: []Use{{Time: day(1), Coefficient: 1}}}
	for _, c := range []struct {
		change func(j *Job)
		want   string
	}{
		{func(j *Job) { j.Standard = -1 }, "the uncertainty of the job's value must not be negative"},
		{func(j *Job) { j.Freedom = -1 }, "degrees of freedom must not be negative"},
		{func(j *Job) { j.Low = um("201") }, "the lower limit of the job is above the upper one"},
		{func(j *Job) { j.Uses[0].Coefficient = math.NaN() }, "the correction is larger than one kilometre, or not a number"},
		{func(j *Job) { j.Value = gauge.MaxLength + 1 }, "a value of the job or of the error is larger than one kilometre"},
		{func(j *Job) { j.Value = math.MinInt64 }, "a value of the job or of the error is larger than one kilometre"},
		{func(j *Job) { j.High = NoHigh - 1 }, "a value of the job or of the error is larger than one kilometre"},
		{func(j *Job) { j.Standard = gauge.MaxLength + 1 }, "a value of the job or of the error is larger than one kilometre"},
	} {
		j := good
		j.Uses = slices.Clone(j.Uses)
		c.change(&j)
		if _, err := Correct(j, e, 9500); toldOf(err) != c.want {
			t.Errorf("got %v, want %s", toldOf(err), c.want)
		}
	}
}

func TestOrder(t *testing.T) {
	const conforms, fails, undecided = uncertainty.Conforms, uncertainty.DoesNotConform, uncertainty.Undecided
	results := []Result{
		{Number: 1, Before: conforms, After: conforms, ProbabilityAfter: 9900},
		{Number: 2, Before: conforms, After: undecided, ProbabilityAfter: 6000},
		{Number: 3, Before: undecided, After: undecided, ProbabilityAfter: 5000},
		{Number: 4, Before: fails, After: conforms, ProbabilityAfter: 9800},
		{Number: 5, Before: conforms, After: fails, ProbabilityAfter: 100},
		{Number: 6, Before: undecided, After: fails, ProbabilityAfter: 200},
		{Number: 7, Before: undecided, After: conforms, ProbabilityAfter: 9700},
		{Number: 8, Before: fails, After: undecided, ProbabilityAfter: 2000},
		{Number: 9, Before: fails, After: fails, ProbabilityAfter: 0},
		{Number: 10, Before: conforms, After: conforms, ProbabilityAfter: 9700},
	}
	Order(results)
	var got []uint64
	for _, r := range results {
		got = append(got, r.Number)
	}
	if want := []uint64{5, 6, 4, 8, 2, 9, 3, 7, 10, 1}; !slices.Equal(got, want) {
		t.Errorf("order %v, want %v", got, want)
	}
}

// BenchmarkMillion corrects and orders a million jobs of three uses each, with an
// error of 365 points.
func BenchmarkMillion(b *testing.B) {
	var points []jobs.Point
	for i := range 365 {
		points = append(points, jobs.Point{Time: day(float64(i)), Error: float64(i) * 1e-7, Sigma: 1e-6})
	}
	e := must(b)(Piecewise(points))
	r := rand.New(rand.NewPCG(1, 1))
	const n = 1_000_000
	for b.Loop() {
		results := make([]Result, 0, n)
		uses := make([]Use, 3)
		for i := range n {
			at := day(float64(i) * 365 / n)
			for k := range uses {
				uses[k] = Use{Time: at.Add(time.Duration(k) * time.Minute), Coefficient: 1}
			}
			j := Job{Number: uint64(i), Value: gauge.Length(1e8 + r.IntN(1e8)), Low: 1e8, High: 2e8, Standard: 3e6, Uses: uses}
			result, err := Correct(j, e, 9500)
			if err != nil {
				b.Fatal(err)
			}
			results = append(results, result)
		}
		Order(results)
	}
}
