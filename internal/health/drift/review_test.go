package drift

import (
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// TestReviewTakesAStepForAChangeOfLevel: the rate is that beside the step, and
// no interval is extended after a step that nobody noted.
func TestReviewTakesAStepForAChangeOfLevel(t *testing.T) {
	checks := history(rand.New(rand.NewPCG(21, 22)), 20, 0.3, 9, 12, 0)
	r, err := NewReview(checks, Options{MPE: 40})
	if err != nil {
		t.Fatal(err)
	}
	if r.Steps == nil || r.Steps.Model != SlopeAndStep || r.Steps.Step.Before != 13 {
		t.Fatalf("%+v", r.Steps)
	}
	near(t, "rate", r.ByTime.Rate, r.Steps.Step.Rate, 1e-12)
	near(t, "its error", r.ByTime.RateError, r.Steps.Step.RateError, 1e-12)
	if r.ByTime.Pieces != 2 || len(r.Advice) != 2 {
		t.Errorf("%d pieces, %d pieces of advice", r.ByTime.Pieces, len(r.Advice))
	}
	for _, a := range r.Advice {
		if a.Change != Kept || a.Next != 30 || !strings.Contains(strings.Join(allTold(a.Reasons), " "), "a jump was found") {
			t.Errorf("%+v", a)
		}
	}
	if _, err := json.Marshal(r); err != nil {
		t.Error(err)
	}
}

// TestChartsBeginAnewAfterAnAdjustment: what was found before it is not held
// against the gauge after it.
func TestChartsBeginAnewAfterAnAdjustment(t *testing.T) {
	checks := history(rand.New(rand.NewPCG(23, 24)), 16, 0, 0, -1, 0)
	for i := 10; i < 13; i++ {
		checks[i].Found += 10
	}
	checks[12].Left = left(0)
	r, err := NewReview(checks, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Charts.Signals) < 3 {
		t.Errorf("%d signals", len(r.Charts.Signals))
	}
	seen := map[string]int{}
	for _, s := range r.Charts.Signals {
		seen[s.Chart]++
		if s.Check < 11 || s.Check > 13 {
			t.Errorf("%+v", s)
		}
	}
	for _, c := range r.Charts.Charts {
		if c.Signals != seen[c.Name] {
			t.Errorf("%s counts %d signals, %d are listed", c.Name, c.Signals, seen[c.Name])
		}
	}
}

// TestSpreadSignal: a check whose repeats scatter too much, and one without.
func TestSpreadSignal(t *testing.T) {
	checks := history(rand.New(rand.NewPCG(25, 26)), 13, 0, 0, -1, 0)
	for i := range checks[:12] {
		checks[i].Spread, checks[i].Repeats, checks[i].Uses = 1, 5, float64(i+1)
	}
	checks[11].Spread = 3
	checks[12].Uses = 20
	r, err := NewReview(checks, Options{MPE: 10})
	if err != nil {
		t.Fatal(err)
	}
	if s := r.Spreads; s == nil || s.Pooled != 1 || s.DoF != 44 || s.Last.F != 9 || len(s.Signals) != 1 || s.Signals[0].Check != 12 {
		t.Errorf("%+v", r.Spreads)
	}
	if r.ByUse == nil || len(r.Advice) != 4 {
		t.Errorf("uses: %+v, %d pieces of advice", r.ByUse, len(r.Advice))
	}
}

func TestReviewRefuses(t *testing.T) {
	random := rand.New(rand.NewPCG(27, 28))
	if _, err := NewReview(nil, Options{}); toldOf(err) != "there are no checks" {
		t.Errorf("%s", toldOf(err))
	}
	two := history(random, 2, 0, 0, -1, 0)
	two[0], two[1] = two[1], two[0]
	if _, err := NewReview(two, Options{}); toldOf(err) != "check 2: the check is earlier than the one before it: put the checks in the order of time" {
		t.Errorf("%s", toldOf(err))
	}
	if _, err := NewReview(two[:1], Options{MPE: -1}); toldOf(err) != "the maximum permissible error -1 is below 0 or not a number" {
		t.Errorf("%s", toldOf(err))
	}
	r, err := NewReview(two[:1], Options{MPE: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, refused := range []gauge.Message{r.ByTimeRefused, r.ByUseRefused, r.StepsRefused, r.ChartsRefused, r.SpreadsRefused, gauge.Sentences(r.AdviceRefused...)} {
		if told(refused) == "" {
			t.Errorf("one check gives an answer: %+v", r)
		}
	}
	flat := history(random, 12, 0, 0, -1, 0)
	for i := range flat {
		flat[i].Found = 2
	}
	r, err = NewReview(flat, Options{})
	if err != nil || told(r.ChartsRefused) != "the errors are all equal, which gives no limits: state them with more digits, or the resolution, or sigma" {
		t.Errorf("%+v, %v", r, err)
	}
}
