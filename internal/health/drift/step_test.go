package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"gauged/internal/gauge"
)

// share counts how often a history gives what is asked.
func share(t *testing.T, runs int, draw func() []Check, is func(Steps) bool) float64 {
	t.Helper()
	n := 0
	for range runs {
		s, err := FindStep(draw(), 0)
		if err != nil {
			t.Fatal(err)
		}
		if is(s) {
			n++
		}
	}
	return float64(n) / float64(runs)
}

// TestStepRates states what the search does on simulated histories (errors with
// sigma 1, PCG seeds 11, 12): a step where there is none comes in at most
// StepLevel of them, whatever the slope and with adjustments; one of 5 sigma
// against a slope is found in at least 90 %, in its place in at least 75 %.
func TestStepRates(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	const runs = 2000
	noise := 3 * math.Sqrt(StepLevel*(1-StepLevel)/runs)
	found := func(s Steps) bool { return s.Step != nil }
	for _, c := range []struct {
		checks, adjust int
		rate           float64
	}{{8, 0, 0}, {12, 0, 0.5}, {24, 0, 0}, {24, 0, 0.2}, {24, 0, 2}, {24, 6, 0.5}} {
		alarms := share(t, runs, func() []Check { return history(random, c.checks, c.rate, 0, -1, c.adjust) }, found)
		t.Logf("false alarms: %d checks, rate %g, adjusted every %d: %.4f", c.checks, c.rate, c.adjust, alarms)
		if alarms > StepLevel+noise {
			t.Errorf("%d checks, rate %g, adjusted every %d: false alarms in %.4f", c.checks, c.rate, c.adjust, alarms)
		}
	}
	for _, c := range []struct {
		size, rate   float64
		found, place float64 // at least
	}{{5, 0.3, 0.90, 0.75}, {8, 0.3, 0.999, 0.95}, {-5, 0.3, 0.90, 0.75}, {8, 0, 0.999, 0.95}} {
		draw := func() []Check { return history(random, 20, c.rate, c.size, 12, 0) }
		hit := share(t, runs, draw, found)
		place := share(t, runs, draw, func(s Steps) bool { return s.Step != nil && s.Step.Before == 13 })
		t.Logf("step %g, rate %g: found %.4f, in its place %.4f", c.size, c.rate, hit, place)
		if hit < c.found || place < c.place {
			t.Errorf("step %g against rate %g: found in %.4f, in its place in %.4f", c.size, c.rate, hit, place)
		}
	}
}

// TestStepSize: size and rate of the steps found in their place, and how often
// size +- 2 uncertainties holds the true one (PCG seeds 13, 14).
func TestStepSize(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 14))
	n, size, held, nearby := 0.0, 0.0, 0.0, 0.0
	const runs = 2000
	for range runs {
		s, err := FindStep(history(random, 24, 0.5, 8, 12, 0), 0)
		if err != nil {
			t.Fatal(err)
		}
		if s.Step == nil || s.Model != SlopeAndStep {
			continue
		}
		if s.Step.EarliestAfter <= 12 && s.Step.LatestBefore >= 13 {
			nearby++
		}
		n++
		size += s.Step.Size
		if math.Abs(s.Step.Size-8) <= 2*s.Step.SizeError {
			held++
		}
	}
	if n < 0.95*runs {
		t.Errorf("slope and step in %g of %d", n, runs)
	}
	near(t, "mean size", size/n, 8, 0.1)
	near(t, "held", held/n, 0.94, 0.03)
	if nearby/n < 0.95 {
		t.Errorf("the places nearby hold the true one in %.3f", nearby/n)
	}
}

// TestModels: what one history of each kind is taken for.
func TestModels(t *testing.T) {
	for _, c := range []struct {
		name       string
		rate, step float64
		want       Model
	}{{"nothing", 0, 0, Steady}, {"slope", 1, 0, Slope}, {"step", 0, 8, StepOnly}, {"both", 1, 12, SlopeAndStep}} {
		s, err := FindStep(history(rand.New(rand.NewPCG(15, 16)), 20, c.rate, c.step, 10, 0), 0)
		if err != nil || s.Model != c.want {
			t.Errorf("%s: %s, %v", c.name, s.Model, err)
		}
		for i, m := range s.Models {
			near(t, "BIC", m.BIC, 20*math.Log(m.Squares/20)+float64(m.Parameters)*math.Log(20), 1e-12)
			if m.Parameters != i+1 {
				t.Errorf("%s has %d parameters", m.Model, m.Parameters)
			}
		}
	}
	// A step in the middle of few checks looks like a slope.
	var few []Check
	for i, x := range []float64{0.1, -0.2, 0.4, 1.5, 2.6, 3.1, 2.8, 3.1} {
		few = append(few, Check{Time: start.AddDate(0, 0, 30*i), Found: x})
	}
	if s, err := FindStep(few, 0); err != nil || s.Model != SlopeOrStep || s.Step != nil {
		t.Errorf("%+v, %v", s, err)
	}
}

func TestStepRefuses(t *testing.T) {
	random := rand.New(rand.NewPCG(17, 18))
	flat := make([]Check, 10)
	same := history(random, 10, 0, 0, -1, 0)
	for i := range flat {
		flat[i].Time = start.AddDate(0, 0, i)
		same[i].Time = start
	}
	for want, checks := range map[string][]Check{
		"a jump is looked for from 4 degrees of freedom on (errors less pieces less 2), there are 3":   history(random, 6, 0, 0, -1, 0),
		"a jump is looked for where a piece has two errors on each side of it: there is no such place": history(random, 10, 0, 0, -1, 2),
		"a jump is looked for among checks at different times: all have the same":                      same,
		"a jump cannot be told apart: the errors have no scatter; state them with more digits":         flat,
		"a jump is looked for from 4 degrees of freedom on (errors less pieces less 2), there are 0":   nil,
	} {
		if _, err := FindStep(checks, 0); err == nil || told(gauge.Told(err)) != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}
