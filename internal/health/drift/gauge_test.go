package drift

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// errorsAt are checks a month apart with these errors.
func errorsAt(errors ...float64) (checks []Check) {
	for i, e := range errors {
		checks = append(checks, Check{Time: start.AddDate(0, 0, 30*i), Found: e})
	}
	return checks
}

func gaugeOf(t *testing.T, o Options, series ...Series) *Gauge {
	t.Helper()
	g, err := NewGauge(series, o)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// TestTheWorstPointDecides: opposite errors do not cancel, the earliest date counts,
// and of several pieces of advice the one that is due first.
func TestTheWorstPointDecides(t *testing.T) {
	g := gaugeOf(t, Options{MPE: 4}, Series{Point: "low", Checks: errorsAt(6, 6)}, Series{Point: "high", Checks: errorsAt(-6, -6)})
	if a := g.Advice[0]; a.Change != Reduced || a.Next != 21 {
		t.Errorf("%+v", a)
	}
	still, slow, fast := errorsAt(), errorsAt(), errorsAt()
	random := rand.New(rand.NewPCG(31, 32))
	for i := range 12 {
		one := func(rate float64) Check {
			return Check{Time: start.AddDate(0, 0, 30*i), Found: rate*float64(i) + 0.2*random.NormFloat64()}
		}
		still, slow, fast = append(still, one(0)), append(slow, one(0.3)), append(fast, one(-0.6))
	}
	g = gaugeOf(t, Options{MPE: 20}, Series{Point: "still", Checks: still}, Series{Point: "slow", Checks: slow}, Series{Point: "fast", Checks: fast})
	if g.Worst().Point != "fast" || g.Worst().ByTime.Reach.Limit != -20 {
		t.Errorf("%s decides", g.Worst().Point)
	}
}

// TestOnePointHoldsTheGauge: what one point shows extends no interval of the gauge.
func TestOnePointHoldsTheGauge(t *testing.T) {
	for verdict, want := range map[Verdict]gauge.Message{Failed: LastFailed, Undecided: LastUndecided} {
		bad := errorsAt(0.1, 0.2, 0.1)
		bad[2].Verdict = verdict
		g := gaugeOf(t, Options{MPE: 4}, Series{Point: "good", Checks: errorsAt(0, 0.1, 0)}, Series{Point: "bad", Checks: bad})
		if !g.Points[1].Holds.Equal(want) {
			t.Errorf("%s holds %q", verdict, g.Points[1].Holds)
		}
		for _, a := range g.Advice {
			if a.Change == Extended {
				t.Errorf("%s: %+v", verdict, a)
			}
		}
		bad[2].Verdict, bad[0].Verdict = Passed, verdict
		if g := gaugeOf(t, Options{MPE: 4}, Series{Point: "bad", Checks: bad}); g.Advice[0].Change != Extended || !g.Points[0].Holds.IsZero() {
			t.Errorf("an old %s gives %+v", verdict, g.Advice[0])
		}
	}
}

// TestPointsThatAreLeftOut: a master that is no longer used decides nothing, one that
// the last check was without is due by its own last check.
func TestPointsThatAreLeftOut(t *testing.T) {
	long := errorsAt(0, 0.1, 0, 0.1, 0, 0.1)
	g := gaugeOf(t, Options{MPE: 4}, Series{Point: "new", Checks: long}, Series{Point: "gone", Checks: errorsAt(3, 3, 3)})
	if !g.Points[1].LeftOut || g.Worst().Point != "new" || g.Advice[0].Change != Extended || g.Advice[0].Point != "new" {
		t.Errorf("%s decides, %+v", g.Worst().Point, g.Advice[0])
	}
	g = gaugeOf(t, Options{MPE: 4}, Series{Point: "new", Checks: long}, Series{Point: "late", Checks: errorsAt(0.1, 0, 0.1, 0.2, 0.1)})
	if a := g.Advice[0]; a.Point != "late" || math.Abs(a.Next-7.5) > 1e-9 {
		t.Errorf("%+v", a)
	}
	g = gaugeOf(t, Options{MPE: 4}, Series{Point: "new", Checks: long}, Series{Point: "late", Checks: errorsAt(9, 9, 9, 9)})
	if a := g.Advice[0]; a.Point != "late" || a.Change != Now || !strings.Contains(strings.Join(allTold(a.Reasons), ";"), "its interval is over") {
		t.Errorf("%+v", a)
	}
}

// TestOccasions: checks of one day are one point in time; an adjustment ends it.
func TestOccasions(t *testing.T) {
	hour := func(h int, found float64) Check {
		return Check{Time: start.Add(time.Duration(h) * time.Hour), Found: found}
	}
	adjusted := hour(20*24, 5)
	adjusted.Left = left(0)
	checks := []Check{hour(0, 1), hour(1, 3), hour(12, 2), hour(13, 7), adjusted, hour(20*24+1, 0.5), hour(20*24+2, 0.7)}
	var got []int
	for _, o := range occasionsOf(checks, OccasionLasts) {
		got = append(got, o.first, o.last)
	}
	if want := []int{1, 3, 4, 4, 5, 5, 6, 7}; len(got) != len(want) {
		t.Fatalf("%v, want %v", got, want)
	} else {
		for i := range want {
			if got[i] != want[i] {
				t.Errorf("%v, want %v", got, want)
			}
		}
	}
	r, err := NewReview(checks, Options{MPE: 10})
	if err != nil {
		t.Fatal(err)
	}
	if r.Occasions != 4 || r.Repeated.DoF != 3 || math.Abs(r.Found-0.6) > 1e-12 {
		t.Errorf("%d occasions, %+v, %g", r.Occasions, r.Repeated, r.Found)
	}
}

// TestTogether: the uncertainty of an occasion is that of one check, and no less than
// the scatter of their mean says; the newest verdict that decides stands.
func TestTogether(t *testing.T) {
	checks := []Check{{Found: 1, Uncertainty: 0.2, Verdict: Passed}, {Found: 3, Uncertainty: 0.2, Verdict: Failed, Shared: 2}}
	o := together(checks)
	near(t, "mean", o.Found, 2, 1e-12)
	near(t, "by the scatter", o.Uncertainty, 1, 1e-12)
	checks[1].Found = 1
	near(t, "as stated", together(checks).Uncertainty, 0.2, 1e-12)
	if o.Verdict != Failed || o.Shared != 2 {
		t.Errorf("%+v", o)
	}
	for _, c := range []struct {
		want     Verdict
		verdicts []Verdict
	}{
		{Passed, []Verdict{Failed, Passed}},
		{Failed, []Verdict{Passed, Failed, Undecided}},
		{Passed, []Verdict{Passed, ""}},
		{Undecided, []Verdict{"", Undecided, ""}},
		{"", []Verdict{""}},
	} {
		var all []Check
		for _, v := range c.verdicts {
			all = append(all, Check{Verdict: v})
		}
		if got := newestVerdict(all); got != c.want {
			t.Errorf("%v give %q", c.verdicts, got)
		}
	}
	if got := newestVerdict([]Check{{Verdict: Failed}, {Verdict: Passed, Aside: true}}); got != Failed {
		t.Errorf("a zero return that passed after a check that failed: %q", got)
	}
}

// TestSharedUncertainty: the certificate hides no rate, and is in level, date and band.
func TestSharedUncertainty(t *testing.T) {
	checks := history(rand.New(rand.NewPCG(33, 34)), 20, 0.4, 0, -1, 0) // a rise of eight times the scatter
	for i := range checks {
		checks[i].Uncertainty = 1
	}
	plain, err := NewReview(checks, Options{MPE: 20})
	if err != nil {
		t.Fatal(err)
	}
	for i := range checks {
		checks[i].Shared = 4
	}
	r, _ := NewReview(checks, Options{MPE: 20})
	if !r.ByTime.Significant || r.ByTime.RateError != plain.ByTime.RateError || r.ByTime.Calm {
		t.Errorf("%+v", r.ByTime)
	}
	near(t, "level", r.ByTime.NowError, math.Hypot(plain.ByTime.NowError, 4), 1e-12)
	if a, b := r.ByTime.Reach, plain.ByTime.Reach; a.X != b.X || !(a.Early < b.Early && a.Late > b.Late) {
		t.Errorf("%+v, without %+v", a, b)
	}
	// As long as the certificate is in the uncertainty of each check it hides the rate.
	for i := range checks {
		checks[i].Uncertainty, checks[i].Shared = math.Hypot(1, 40), 0
	}
	if r, _ = NewReview(checks, Options{MPE: 20}); r.ByTime.Significant || !r.ByTime.Calm {
		t.Errorf("%+v", r.ByTime)
	}
}

// TestStepOrRateSaysNoDate: what is not known is not said, and extends nothing.
func TestStepOrRateSaysNoDate(t *testing.T) {
	checks := errorsAt(0.1, -0.2, 0.4, 1.5, 2.6, 3.1, 2.8, 3.1)
	r, err := NewReview(checks, Options{MPE: 10})
	if err != nil || r.Steps.Model != SlopeOrStep {
		t.Fatalf("%+v, %v", r, err)
	}
	if r.ByTime.Reach != nil || r.ByTime.Doubt.IsZero() || !r.Holds.Equal(StepOrRate) {
		t.Errorf("%+v, %q", r.ByTime, r.Holds)
	}
	for _, a := range r.Advice {
		if a.Change == Extended {
			t.Errorf("%+v", a)
		}
	}
}

// TestRateAndModelAgree: whether there is a rate is one question with one answer
// (PCG seeds 35, 36).
func TestRateAndModelAgree(t *testing.T) {
	random := rand.New(rand.NewPCG(35, 36))
	seen := map[Model]int{}
	for i := range 600 {
		checks := history(random, 12, []float64{0, 0.2, 0.5}[i%3], 0, -1, 0)
		for k := range checks {
			if i%2 == 0 {
				checks[k].Uncertainty = 1
			}
		}
		r, err := NewReview(checks, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		seen[r.Steps.Model]++
		if m := r.Steps.Model; m == Steady && r.ByTime.Significant || m == Slope && !r.ByTime.Significant {
			t.Errorf("%s, and significant is %v", m, r.ByTime.Significant)
		}
	}
	if seen[Steady] < 100 || seen[Slope] < 100 {
		t.Errorf("%v", seen)
	}
}

// TestAdjustedWithoutALook: an adjustment after which nobody looked at a point begins
// a new level there.
func TestAdjustedWithoutALook(t *testing.T) {
	checks := history(rand.New(rand.NewPCG(37, 38)), 14, 0, 0, -1, 0)
	checks[6].Adjusted = true
	for i := 7; i < 14; i++ {
		checks[i].Found += 30
	}
	r, err := NewReview(checks, Options{MPE: 100})
	if err != nil {
		t.Fatal(err)
	}
	if r.Adjustments != 1 || r.ByTime.Pieces != 2 || r.ByTime.SD > 3 || r.Steps.Step != nil {
		t.Errorf("%+v, %+v", r.ByTime, r.Steps)
	}
}

// TestOrigin: errors that count from an origin give what whole errors give.
func TestOrigin(t *testing.T) {
	whole := history(rand.New(rand.NewPCG(39, 40)), 16, 0.3, 0, -1, 6)
	less := append([]Check(nil), whole...)
	const origin = 8.0
	for i := range less {
		less[i].Found -= origin
		if less[i].Left != nil {
			less[i].Left = left(*less[i].Left - origin)
		}
	}
	a, err := NewReview(whole, Options{MPE: 20})
	if err != nil {
		t.Fatal(err)
	}
	b, err := NewReview(less, Options{MPE: 20, Origin: origin})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rate", b.ByTime.Rate, a.ByTime.Rate, 1e-12)
	near(t, "now", b.ByTime.Now, a.ByTime.Now, 1e-12)
	near(t, "limit", b.ByTime.Reach.X, a.ByTime.Reach.X, 1e-6)
	near(t, "centre", b.Charts.Baseline.Centre, a.Charts.Baseline.Centre, 1e-12)
	near(t, "sigma", b.Charts.Baseline.Sigma, a.Charts.Baseline.Sigma, 1e-12)
	for i := range a.Charts.Charts {
		near(t, a.Charts.Charts[i].Name, b.Charts.Charts[i].Value, a.Charts.Charts[i].Value, 1e-12)
	}
	near(t, "found", b.Found, a.Found, 1e-12)
	near(t, "interval", b.Advice[0].Next, a.Advice[0].Next, 1e-9)
}

// TestCorrelation: independent residuals warn in at most one history of twenty,
// wandering ones in most (PCG seeds 41, 42).
func TestCorrelation(t *testing.T) {
	random := rand.New(rand.NewPCG(41, 42))
	alike := func(phi float64, n int) float64 {
		const runs = 2000
		hits := 0
		for range runs {
			e, checks := random.NormFloat64(), errorsAt()
			for i := range n {
				checks = append(checks, Check{Time: start.AddDate(0, 0, 30*i), Found: e})
				e = phi*e + math.Sqrt(1-phi*phi)*random.NormFloat64()
			}
			_, l := lineOf(t, checks)
			if c := correlationOf(runsOf(checks), l.Rate); c.Alike {
				hits++
			}
		}
		return float64(hits) / runs
	}
	for _, n := range []int{8, 12, 24, 60} {
		if rate := alike(0, n); rate > 0.065 || rate < 0.01 {
			t.Errorf("%d independent checks warn in %.3f", n, rate)
		}
		t.Logf("%d checks: 0: %.3f, 0.6: %.3f", n, alike(0, n), alike(0.6, n))
	}
	if correlationOf(runsOf(errorsAt(1, 2, 1, 2, 1, 2, 1)), 0) != nil {
		t.Error("7 checks are judged")
	}
}
