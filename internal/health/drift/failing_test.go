package drift

import (
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// judged gives checks within the limit of 8 the verdict pass and the others fail.
func judged(checks []Check) []Check {
	for i := range checks {
		checks[i].Verdict = Passed
		if (Options{MPE: 8}).beyond(checks[i].Found) {
			checks[i].Verdict = Failed
		}
	}
	return checks
}

// again is a check some hours after the last one.
func again(checks []Check, hours float64, found float64) []Check {
	at := checks[len(checks)-1].Time.Add(time.Duration(hours * float64(time.Hour)))
	return judged(append(checks, Check{Time: at, Found: found}))
}

// TestNoIntervalIsExtended: what stands against it, at any point (numbers ours).
func TestNoIntervalIsExtended(t *testing.T) {
	calm := []float64{0.4, 1.3, 0.7, 0.7, 0.6, 0.5, 0.6, 0.3}
	spread := judged(errorsAt(0.7, 0.9, 1.3, -0.1, 0.8, 0.5, -0.3, 1))
	for i := range spread {
		spread[i].Spread, spread[i].Repeats = []float64{0.42, 0.68, 0.69, 0.78, 0.79, 0.71, 0.65, 3.5}[i], 5
	}
	bad := judged(errorsAt(calm...))
	bad[7].Left = left(9.5)
	failed := append(errorsAt(calm...), errorsAt(0, 0, 0, 0, 0, 0, 0, 0, 11.5)[8])
	next := errorsAt(0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0)[9:]
	long := judged(append(slices.Clone(failed), next...))
	shed := judged(slices.Clone(failed))
	sameDay := func(more ...float64) []Check {
		checks := judged(slices.Clone(failed))
		for _, x := range more {
			checks = again(checks, 1, x)
		}
		return checks
	}
	zero := judged(slices.Clone(failed))
	zero = again(zero, 24, 0)
	zero[len(zero)-1].Aside = true
	undecided := again(judged(slices.Clone(failed)), 24*30, 7)
	undecided[len(undecided)-1].Verdict = Undecided
	unjudged := slices.Clone(failed)
	for i := range unjudged {
		unjudged[i].Verdict = ""
	}
	for name, c := range map[string]struct {
		checks []Check
		holds  gauge.Message
	}{
		"the spread chart points":          {spread, ChartPoints},
		"left beyond the limit":            {bad, LeftBeyond},
		"failed":                           {failed, LastFailed},
		"failed, then passed":              {sameDay(0.2), FailedBefore},
		"failed both ways, then passed":    {sameDay(-11, 0.2), FailedBefore},
		"failed, then passed four times":   {sameDay(0.3, 0.2, 0.2, 0.2), FailedBefore},
		"failed, then a zero return":       {zero, NotPassed},
		"failed, then undecided":           {undecided, NotPassed},
		"beyond the limit without verdict": {unjudged, LastFailed},
	} {
		g := gaugeOf(t, Options{MPE: 8}, Series{Checks: c.checks})
		if !g.Points[0].Holds.Equal(c.holds) {
			t.Errorf("%s: holds %q", name, g.Points[0].Holds)
		}
		for _, a := range g.Advice {
			if a.Change == Extended {
				t.Errorf("%s: %+v", name, a)
			}
		}
	}
	for _, g := range []*Gauge{
		gaugeOf(t, Options{MPE: 8}, Series{Point: "zero", Checks: long}, Series{Point: "block", Checks: shed}),
	} {
		if g.Points[1].LeftOut || g.Worst().Point != "block" {
			t.Errorf("a point that failed is shed by leaving it out: %s decides", g.Worst().Point)
		}
		for _, a := range g.Advice {
			if a.Change == Extended {
				t.Errorf("a point that failed was left out: %+v", a)
			}
		}
	}
}

// TestAnOccasionWithAFailedCheck: it advises as failed, and the chart points at what its mean
// hides.
func TestAnOccasionWithAFailedCheck(t *testing.T) {
	for name, more := range map[string][]float64{"both ways": {-11, 0.2}, "four times": {0.3, 0.2, 0.2, 0.2}} {
		checks := judged(errorsAt(0.4, 1.3, 0.7, 0.7, 0.6, 0.5, 0.6, 0.3, 11.5))
		for _, x := range more {
			checks = again(checks, 1, x)
		}
		r, err := NewReview(checks, Options{MPE: 8})
		if err != nil {
			t.Fatal(err)
		}
		if a := r.Advice[0]; a.Change != Reduced || a.Next != 21 || told(a.Reasons[0]) != "the error as found is outside the limit" {
			t.Errorf("%s: %+v", name, a)
		}
		if !r.ChartNow()[SingleChart] || r.Verdict != Passed {
			t.Errorf("%s: %v, %s", name, r.ChartNow(), r.Verdict)
		}
	}
}

// TestACheckAfterOneThatFailed proves no interval, however soon it passes.
func TestACheckAfterOneThatFailed(t *testing.T) {
	for _, hours := range []float64{12.5, 24} {
		r, err := NewReview(again(judged(errorsAt(0.6, 0.8, 1.5, 0.4, 0.2, 1.7, 9)), hours, 0.6), Options{MPE: 8})
		if err != nil {
			t.Fatal(err)
		}
		if a := r.Advice[0]; a.Change != Reduced || a.Next != 21 || told(a.Reasons[0]) != "a check failed after that interval" {
			t.Errorf("%g hours later: %+v", hours, a)
		}
	}
}

// TestBeforeTheLimit: no interval lies after the day on which the line may be at the limit.
func TestBeforeTheLimit(t *testing.T) {
	r, err := NewReview(errorsAt(-1.6, 0.1, 1.5, 3.3, 4.7, 6.3), Options{MPE: 8})
	if err != nil {
		t.Fatal(err)
	}
	a, early := r.Advice[0], r.ByTime.Reach.Early-150
	if a.Change != Reduced || a.Next != early || !(early < 30) || !strings.HasPrefix(told(a.Reasons[len(a.Reasons)-1]), "the line may be at the limit then") {
		t.Errorf("%+v, early end after %g days", a, early)
	}
}

// TestUsualInterval: one long interval among short ones is no measure of the next.
func TestUsualInterval(t *testing.T) {
	checks := judged(errorsAt(0.6, 0.7, 0.7, 1.4, 0.8, -0.1, 0.6, 0.3, 0.3, 1, 0.4, -0.3))
	for i := 6; i < len(checks); i++ {
		checks[i].Time = checks[i].Time.AddDate(0, 0, 220)
	}
	for _, all := range [][]Check{checks, checks[:7]} {
		g := gaugeOf(t, Options{MPE: 8}, Series{Checks: all})
		for _, a := range g.Advice {
			if a.Next > 60 {
				t.Errorf("%d checks: %+v", len(all), a)
			}
		}
	}
	// An interval that grows by 1.25 each time is never cut.
	at, days, growing := start, 30.0, []Check{{Time: start}}
	for range 12 {
		at = at.Add(time.Duration(days * 24 * float64(time.Hour)))
		growing = append(growing, Check{Time: at, Verdict: Passed})
		days *= 1.25
		if r, err := NewReview(growing, Options{MPE: 8}); err != nil || r.Advice[0].Change != Extended {
			t.Fatalf("%v, %+v", err, r.Advice)
		}
		near(t, "next", mustReview(t, growing).Advice[0].Next, days, 1e-6)
	}
}

func mustReview(t *testing.T, checks []Check) *Review {
	t.Helper()
	r, err := NewReview(checks, Options{MPE: 8})
	if err != nil {
		t.Fatal(err)
	}
	return r
}
