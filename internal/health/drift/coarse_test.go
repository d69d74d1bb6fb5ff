package drift

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// shown are monthly checks with these errors, as a coarse display shows them.
func shown(errors ...float64) (checks []Check) {
	for i, e := range errors {
		checks = append(checks, Check{Time: start.AddDate(0, i, 0), Found: e})
	}
	return checks
}

// TestQuietGaugeThatJumps: a coarse display hides all scatter of a quiet gauge, and what it
// then shows is no accident. Two errors after the jump are a step; one alone holds the
// interval; one step of a display that is stated may be the next digit.
func TestQuietGaugeThatJumps(t *testing.T) {
	for _, c := range []struct {
		name    string
		display float64
		errors  []float64
		model   Model
		step    bool
		holds   bool
		charts  bool // point at something
	}{
		{"six and six", 0, []float64{0, 0, 0, 0, 0, 0, 5, 5, 5, 5, 5, 5}, StepOnly, true, true, false},
		{"six and six, on a display of 1", 1, []float64{0, 0, 0, 0, 0, 0, 5, 5, 5, 5, 5, 5}, StepOnly, true, true, true},
		{"ten and two", 0, []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 5, 5}, StepOnly, true, true, false},
		{"ten and one", 0, []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 5}, Steady, false, true, false},
		{"ten and one, on a display of 1", 1, []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 5}, Steady, false, true, true},
		{"three and two", 0, []float64{0, 0, 0, 5, 5}, "", false, true, false},
		{"a step beside a slope", 0, []float64{0, 1, 2, 3, 4, 5, 11, 12, 13, 14}, SlopeAndStep, true, true, true},
		{"one digit, on a display of 1", 1, []float64{0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1}, SlopeOrStep, false, true, false},
		{"the last digit, on a display of 1", 1, []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1}, Steady, false, false, false},
	} {
		r, err := NewReview(shown(c.errors...), Options{MPE: 8, Charts: ChartSettings{Step: c.display}})
		if err != nil {
			t.Fatal(c.name, err)
		}
		model, step := Model(""), false
		if r.Steps != nil {
			model, step = r.Steps.Model, r.Steps.Step != nil
		}
		pointed := r.Charts != nil && len(r.Charts.Signals) > 0
		extends := slices.ContainsFunc(r.Advice, func(a Advice) bool { return a.Change == Extended })
		if model != c.model || step != c.step || extends == c.holds || pointed != c.charts {
			t.Errorf("%s: %s, step %t, extends %t (%s), pointed at %t", c.name, model, step, extends, r.Holds, pointed)
		}
	}
}

// TestChartsJudgeOccasions: what varies from day to day is the same in checks of one day, so
// that one by one they would look as if the gauge had moved (PCG seed 41).
func TestChartsJudgeOccasions(t *testing.T) {
	random := rand.New(rand.NewPCG(41, 41))
	const runs = 400
	pointed := 0
	for range runs {
		var checks []Check
		for day := range 15 {
			level := random.NormFloat64()
			for k := range 3 {
				checks = append(checks, Check{Time: start.AddDate(0, day, 0).Add(time.Duration(k) * time.Hour), Found: level + 0.2*random.NormFloat64()})
			}
		}
		r, err := NewReview(checks, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Charts.Course) != 15 || r.Charts.Course[14].Check != 45 {
			t.Fatalf("%d judged, the last %d", len(r.Charts.Course), r.Charts.Course[14].Check)
		}
		if len(r.Charts.Signals) > 0 {
			pointed++
		}
	}
	if pointed > runs/10 {
		t.Errorf("%d of %d healthy gauges are pointed at", pointed, runs)
	}
}

// TestRechecksClaimNoDrift: 8 checks on the first and the last day, one on the others, each
// with its true uncertainty, of which the day is nearly all (PCG seed 42).
func TestRechecksClaimNoDrift(t *testing.T) {
	random := rand.New(rand.NewPCG(42, 42))
	const runs = 400
	claimed := 0
	for range runs {
		var checks []Check
		for day := range 12 {
			level, n := random.NormFloat64(), 1
			if day == 0 || day == 11 {
				n = 8
			}
			for k := range n {
				checks = append(checks, Check{Time: start.AddDate(0, day, 0).Add(time.Duration(k) * time.Hour), Found: level + 0.2*random.NormFloat64(), Uncertainty: 1.02})
			}
		}
		r, err := NewReview(checks, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		if r.ByTime.Significant {
			claimed++
		}
	}
	if claimed > runs*6/100+10 {
		t.Errorf("%d of %d gauges that do not drift are said to", claimed, runs)
	}
}
