package drift

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gauged/internal/gauge"
)

var start = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

func left(x float64) *float64 { return &x }

// history is one of n monthly checks with drift per month, a step in front of
// check `at`, and adjustments to 0 after every `adjust` checks.
func history(random *rand.Rand, n int, rate, step float64, at, adjust int) []Check {
	var checks []Check
	offset := 0.0
	for i := range n {
		if i == at {
			offset += step
		}
		mean := rate*float64(i) + offset
		c := Check{Time: start.AddDate(0, 0, 30*i), Found: mean + random.NormFloat64()}
		if adjust > 0 && i%adjust == adjust-1 {
			offset -= mean
			c.Left = left(random.NormFloat64())
		}
		checks = append(checks, c)
	}
	return checks
}

func lineOf(t *testing.T, checks []Check) (History, Line) {
	t.Helper()
	var h History
	for _, c := range checks {
		if err := h.Add(c); err != nil {
			t.Fatal(err)
		}
	}
	l, err := h.ByTime.Line()
	if err != nil {
		t.Fatal(err)
	}
	return h, l
}

// TestJointSlope: with adjustments the slope is that of least squares with one
// indicator column per piece (normal equations solved here).
func TestJointSlope(t *testing.T) {
	checks := history(rand.New(rand.NewPCG(5, 6)), 17, 0.4, 0, -1, 5)
	_, l := lineOf(t, checks)
	runs := runsOf(checks)
	p := len(runs) + 1
	a, b := make([][]float64, p), make([]float64, p)
	for i := range a {
		a[i] = make([]float64, p)
	}
	for i, run := range runs {
		for _, q := range run {
			a[i][i]++
			a[i][p-1] += q.x
			a[p-1][i] += q.x
			a[p-1][p-1] += q.x * q.x
			b[i] += q.y
			b[p-1] += q.x * q.y
		}
	}
	solution := solve(a, b)
	squares := 0.0
	for i, run := range runs {
		for _, q := range run {
			squares += square(q.y - solution[i] - solution[p-1]*q.x)
		}
	}
	near(t, "rate", l.Rate, solution[p-1], 1e-12)
	level, _ := l.At(0)
	near(t, "level of the last piece", level, solution[p-2], 1e-9)
	near(t, "deviation", l.SD, math.Sqrt(squares/float64(l.DoF)), 1e-9)
	if l.Pieces != 4 || l.Points != 20 || l.DoF != 15 {
		t.Errorf("%d points in %d pieces leave %d", l.Points, l.Pieces, l.DoF)
	}
}

// TestWeights: the weighted line is that of repeated points, and residuals that
// are small by chance do not make the uncertainty smaller than stated.
func TestWeights(t *testing.T) {
	x, y, n := []float64{0, 1, 2, 3, 5}, []float64{0, 4, 1, 7, 6}, []int{1, 4, 1, 4, 1}
	var weighted, repeated Trend
	for i := range x {
		weighted.Add(x[i], y[i], 1/math.Sqrt(float64(n[i])))
		for range n[i] {
			repeated.Add(x[i], y[i], 0)
		}
	}
	w, err := weighted.Line()
	if err != nil {
		t.Fatal(err)
	}
	r, _ := repeated.Line()
	near(t, "rate", w.Rate, r.Rate, 1e-12)
	near(t, "level", w.Level, r.Level, 1e-12)
	near(t, "error of the rate", w.RateError*math.Sqrt(float64(w.DoF)), r.RateError*math.Sqrt(float64(r.DoF)), 1e-12)
	var exact Trend
	for i := range 6 {
		exact.Add(float64(i), float64(2*i), 3)
	}
	e, err := exact.Line()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "error of the rate of an exact line", e.RateError, 3/math.Sqrt(17.5), 1e-12)
	exact.Add(7, 14, 0)
	if _, err := exact.Line(); err == nil {
		t.Error("an exact line without uncertainties gives a rate")
	}
}

// TestFarFromZero: offsets take no digits from the rate.
func TestFarFromZero(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	var near0, far Trend
	for i := range 100000 {
		x, y := float64(i), math.Round(random.NormFloat64()*1024)/1024+float64(i)/4096
		near0.Add(x, y, 0)
		far.Add(x+1<<30, y+1<<20, 0)
	}
	a, _ := near0.Line()
	b, err := far.Line()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rate", b.Rate/a.Rate, 1, 5e-9)
	near(t, "its error", b.RateError/a.RateError, 1, 5e-9)
}

// TestReachIsCovered: the interval of the date holds the true one in 95 of 100
// histories, and so does the prediction band (PCG seeds 9, 10).
func TestReachIsCovered(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	const runs, rate, mpe = 4000, 0.5, 14.0
	const want = mpe / rate * 30 // the true line is 0 at the origin; days
	held, refused, inside := 0, 0, 0
	for range runs {
		h, l := lineOf(t, history(random, 20, rate, 0, -1, 0))
		r := l.Reaches(mpe, Days(h.Origin, h.Last.Time), 0.95)
		if !r.Significant {
			refused++
		} else if r.Early <= want && want <= r.Late {
			held++
		}
		value, u := l.Next(want)
		if math.Abs(mpe+random.NormFloat64()-value) <= l.factor(0.95)*u {
			inside++
		}
	}
	if refused > 0 {
		t.Errorf("%d of %d have no significant rate", refused, runs)
	}
	near(t, "coverage of the date", float64(held)/runs, 0.95, 0.014)
	near(t, "coverage of the prediction", float64(inside)/runs, 0.95, 0.014)
}

func TestReach(t *testing.T) {
	l := Line{Rate: 0.1, RateError: 0.01, DoF: 10, Centre: 50, Level: 2, LevelError: 0.2, SD: 0.5}
	r := l.Reaches(10, 100, 0.95)
	near(t, "reached", r.X, 130, 1e-9)
	for _, x := range []float64{r.Early, r.Late} { // there the band of the line touches the limit
		value, u := l.At(x)
		near(t, "distance", math.Abs(10-value), l.factor(0.95)*u, 1e-9)
	}
	if !(r.Early < r.X && r.X < r.Late) || r.Outside || !r.Significant || r.Limit != 10 {
		t.Errorf("%+v", r)
	}
	down := Line{Rate: -0.1, RateError: 0.01, DoF: 10, Centre: 50, Level: -2, LevelError: 0.2, SD: 0.5}
	if d := down.Reaches(10, 100, 0.95); math.Abs(d.X-r.X) > 1e-9 || math.Abs(d.Early-r.Early) > 1e-9 || d.Limit != -10 {
		t.Errorf("%+v is not the mirror image of %+v", d, r)
	}
	l.RateError = 0.05
	if r := l.Reaches(10, 100, 0.95); r.Significant || r.X != 0 || r.Early != 0 || r.Late != 0 {
		t.Errorf("%+v with a rate that is not significant", r)
	}
	if r := l.Reaches(6, 100, 0.95); !r.Outside {
		t.Errorf("%+v, at 7 against 6", r)
	}
	l.RateError = 0.01
	x := l.Leaves(10, 100, 400, 0.95)
	value, u := l.Next(x)
	near(t, "edge of the band", value+l.factor(0.95)*u, 10, 1e-9)
	near(t, "band across already", l.Leaves(7, 100, 400, 0.95), 100, 0)
	near(t, "band inside", l.Leaves(1000, 100, 400, 0.95), 400, 0)
}

func TestTrendRefuses(t *testing.T) {
	day := func(n int) time.Time { return start.AddDate(0, 0, n) }
	for want, checks := range map[string][]Check{
		"there are no checks": nil,
		"a trend needs 2 degrees of freedom (errors less pieces less 1): 1 is missing":                                                                      {{Time: day(0)}, {Time: day(1), Found: 1}, {Time: day(2)}},
		"a trend needs 2 degrees of freedom (errors less pieces less 1): 2 are missing":                                                                     {{Time: day(0)}, {Time: day(1), Found: 1, Left: left(0)}},
		"a trend needs checks at different times within a piece":                                                                                            {{Time: day(0)}, {Time: day(0), Found: 1}, {Time: day(0)}, {Time: day(0)}},
		"the errors have no scatter, so that nothing tells how well the rate is known: state the uncertainty of the checks, or the errors with more digits": {{Time: day(0)}, {Time: day(1)}, {Time: day(2)}, {Time: day(3)}},
	} {
		var h History
		for _, c := range checks {
			if err := h.Add(c); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := h.ByTime.Line(); err == nil || told(gauge.Told(err)) != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
	var broken Trend
	for i := range 9 {
		broken.Add(float64(i), float64(i*i), 0)
	}
	broken.Break()
	if _, err := broken.Line(); err == nil || told(gauge.Told(err)) != "there is no check yet since the last change of level" {
		t.Errorf("%v", err)
	}
}

func TestChecksAreValid(t *testing.T) {
	nan := math.NaN()
	before := Check{Time: start, Uses: 10}
	for want, c := range map[string]Check{
		"the error as found is not a number":                                               {Found: nan},
		"the uncertainty -1 is below 0 or not a number":                                    {Uncertainty: -1},
		"the error as left is not a number":                                                {Left: &nan},
		"the spread -1 is below 0 or not a number":                                         {Spread: -1},
		"-1 repeats are no number of repeats":                                              {Repeats: -1},
		"a spread needs the number of repeats that it comes from, 2 or more":               {Spread: 1, Repeats: 1},
		"the uses -1 are below 0 or not a number":                                          {Uses: -1},
		"the check is earlier than the one before it: put the checks in the order of time": {Time: start.AddDate(0, 0, -1)},
		"the uses fall from 10 to 9: write the count of all uses so far":                   {Time: start, Uses: 9},
	} {
		if err := c.Valid(&before); err == nil || told(gauge.Told(err)) != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

// BenchmarkOneMoreCheck: the cost of a check does not grow with those before.
func BenchmarkOneMoreCheck(b *testing.B) {
	for name, before := range map[string]int{"after 10": 10, "after 10 million": 10_000_000} {
		b.Run(name, func(b *testing.B) {
			var h History
			w, err := NewWatch(ChartSettings{})
			if err != nil {
				b.Fatal(err)
			}
			c := Check{Time: start, Uncertainty: 1, Uses: 1}
			add := func() {
				c.Time, c.Uses, c.Found = c.Time.Add(time.Second), c.Uses+1, 0.5-c.Found
				if err := h.Add(c); err != nil {
					b.Fatal(err)
				}
			}
			for range before {
				add()
			}
			b.ReportAllocs()
			for b.Loop() {
				add()
				if _, err := h.ByTime.Line(); err != nil {
					b.Fatal(err)
				}
				w.Add(c)
			}
		})
	}
}
