package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// healthy are checks of a gauge whose errors scatter by 1 about a level that nobody
// knows, and whose five repeats scatter by 2. Errors are shown in steps, when step
// is not 0.
func healthy(random *rand.Rand, n int, step float64) []Check {
	checks := make([]Check, n)
	level := 100 * random.Float64()
	for i := range checks {
		found, squares := level+random.NormFloat64(), 0.0
		if step > 0 {
			found = math.Round(found/step) * step
		}
		for range 4 {
			x := 2 * random.NormFloat64()
			squares += x * x
		}
		checks[i] = Check{Time: start.AddDate(0, i, 0), Found: found, Spread: math.Sqrt(squares / 4), Repeats: 5}
	}
	return checks
}

// pointedAt is the first check that any chart of any of several masters points at, 0
// for none.
func pointedAt(t *testing.T, s ChartSettings, masters ...[]Check) int {
	t.Helper()
	s.Series = len(masters)
	first := 0
	for _, checks := range masters {
		w, err := NewWatch(s)
		if err != nil {
			t.Fatal(err)
		}
		at := 0
		for i, c := range checks {
			if len(w.Add(c).Signals) > 0 && at == 0 {
				at = i + 1
			}
		}
		r := &Review{}
		if r.spreads(checks, s.Series); r.Spreads != nil && len(r.Spreads.Signals) > 0 {
			at = earlierOf(at, r.Spreads.Signals[0].Check)
		}
		first = earlierOf(first, at)
	}
	return first
}

// earlierOf is the earlier of two checks, of which 0 is none.
func earlierOf(a, b int) int {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}

// TestHealthyGaugesAreLeftAlone: at most one healthy gauge in ten is pointed at in
// its first 30 checks, by all charts together, at one master or at several, on a
// fine and on a coarse display (PCG seeds 31, 1 to 5).
func TestHealthyGaugesAreLeftAlone(t *testing.T) {
	const runs = 700
	for i, c := range []struct {
		what    string
		masters int
		step    float64
	}{{"one master", 1, 0}, {"three masters", 3, 0}, {"a display of 2 sigma", 1, 2}, {"a display of 4 sigma", 1, 4}} {
		random := rand.New(rand.NewPCG(31, uint64(i+1)))
		alarms := 0
		for range runs {
			var all [][]Check
			for range c.masters {
				all = append(all, healthy(random, 30, c.step))
			}
			if pointedAt(t, ChartSettings{Step: c.step}, all...) > 0 {
				alarms++
			}
		}
		share := float64(alarms) / runs
		t.Logf("%s: %.1f %%", c.what, 100*share)
		if share > 0.1 {
			t.Errorf("%s: %.1f %% of healthy gauges are pointed at in 30 checks", c.what, 100*share)
		}
	}
}

// TestStandardisedErrors: while all is well they are independent and standard
// normal, from the third check on and over adjustments (PCG seeds 33, 34).
func TestStandardisedErrors(t *testing.T) {
	random := rand.New(rand.NewPCG(33, 34))
	const runs, checks = 4000, 12
	var all [checks][]float64
	for range runs {
		var l learned
		level := 50.0
		for i := range checks {
			x := level + random.NormFloat64()
			if l.ready(0) {
				all[i] = append(all[i], l.standardised(x, 0))
			}
			if l.learn(x); i == 6 {
				level = -20
				l.adjusted(left(level + random.NormFloat64()))
			}
		}
	}
	for i := 2; i < checks; i++ {
		z := all[i]
		if len(z) != runs {
			t.Fatalf("check %d: %d values", i+1, len(z))
		}
		product := 0.0
		for j, x := range all[i-1] {
			product += x * z[j] / runs
		}
		if mean := meanOf(z); math.Abs(mean) > 0.06 || math.Abs(product) > 0.06 {
			t.Errorf("check %d: mean %.3f, correlation with the check before %.3f", i+1, mean, product)
		}
		slices.Sort(z)
		for _, c := range []struct{ place, want float64 }{{0.025, -1.95996}, {0.16, -0.99446}, {0.5, 0}, {0.84, 0.99446}, {0.975, 1.95996}} {
			near(t, "quantile", z[int(c.place*runs)], c.want, 0.13)
		}
	}
}

func meanOf(x []float64) (mean float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	return mean
}

// TestShiftsAreFound: how many checks it takes until half of the gauges that moved
// after 20 checks are pointed at, those left out that were before (PCG seeds 35, 1 to 3).
func TestShiftsAreFound(t *testing.T) {
	for i, c := range []struct {
		shift float64
		want  int
	}{{1, 14}, {2, 5}, {3, 3}} {
		random := rand.New(rand.NewPCG(35, uint64(i+1)))
		var took []int
		for len(took) < 200 {
			checks := healthy(random, 80, 0)
			for i := 20; i < len(checks); i++ {
				checks[i].Found += c.shift
			}
			switch at := pointedAt(t, ChartSettings{}, checks); {
			case at == 0:
				took = append(took, 1000)
			case at > 20:
				took = append(took, at-20)
			}
		}
		slices.Sort(took)
		if median := took[len(took)/2]; median > c.want {
			t.Errorf("a shift of %g sigma is found after %d checks, want %d", c.shift, median, c.want)
		}
	}
}

// TestFarOutIsNotLearned: one error far out is pointed at, and what comes after it is
// compared as if it had not been.
func TestFarOutIsNotLearned(t *testing.T) {
	w, err := NewWatch(ChartSettings{})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{1, 2, 1, 2, 1, 2, 1, 2} {
		w.Add(Check{Found: x})
	}
	before, _ := w.Baseline()
	if now := w.Add(Check{Found: 9}); len(now.Signals) == 0 || now.Signals[0].Chart != SingleChart || now.High > 5 {
		t.Errorf("%+v", now)
	}
	if after, _ := w.Baseline(); after != before {
		t.Errorf("%+v became %+v", before, after)
	}
}

// TestNoise: what scatters too much is said, with both numbers.
func TestNoise(t *testing.T) {
	checks := healthy(rand.New(rand.NewPCG(37, 38)), 20, 0)
	r, err := NewReview(checks, Options{MPE: 1.5, Deviation: 1})
	if err != nil || len(r.Noise) != 2 || r.Noise[0] != (Noise{NoiseBetween, r.Charts.Baseline.Sigma, 0.5}) || r.Noise[1] != (Noise{NoiseWithin, r.Spreads.Pooled, 1}) {
		t.Fatalf("%v, %v", r.Noise, err)
	}
	for _, o := range []Options{{MPE: 3, Deviation: 2}, {}} {
		if r, err := NewReview(checks, o); err != nil || len(r.Noise) != 0 {
			t.Errorf("%v, %v", r.Noise, err)
		}
	}
}
