package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestProbabilityOfTwoIdentical: two readings are in one step with the
// probability that a triangle of the width of the step covers their difference.
func TestProbabilityOfTwoIdentical(t *testing.T) {
	for _, step := range []float64{0.01, 0.1, 0.5, 1, 2, 5, 20, 90} {
		s := math.Sqrt2 / step // of the difference, in steps
		want := 2*distuv.UnitNormal.CDF(1/s) - 1 - 2*s*(distuv.UnitNormal.Prob(0)-distuv.UnitNormal.Prob(1/s))
		if got := ProbabilityIdentical(2, 1, step); math.Abs(got-want) > 1e-12*max(want, 0.01) {
			t.Errorf("step %v: %.15g, closed form %.15g", step, got, want)
		}
	}
}

func TestProbabilityIdenticalBySimulation(t *testing.T) {
	const rounds = 50000
	random := rand.New(rand.NewPCG(5, 6))
	for _, c := range []struct {
		n        int
		sd, step float64
	}{{3, 1, 1}, {5, 0.3, 1}, {4, 2, 3}, {10, 0.2, 1}} {
		hits := 0
		for range rounds {
			origin := random.Float64() * c.step
			shown := make([]float64, c.n)
			for i := range shown {
				shown[i] = math.Floor((origin + c.sd*random.NormFloat64()) / c.step)
			}
			if slices.Min(shown) == slices.Max(shown) {
				hits++
			}
		}
		p := ProbabilityIdentical(c.n, c.sd, c.step)
		if got := float64(hits) / rounds; math.Abs(got-p) > 4*math.Sqrt(p*(1-p)/rounds) {
			t.Errorf("%+v: simulated %.4f, computed %.4f", c, got, p)
		}
	}
}

func TestProbabilityIdenticalAtItsEnds(t *testing.T) {
	for _, c := range []struct {
		n        int
		sd, step float64
		low      float64
		high     float64
	}{
		{1, 3, 1, 1, 1},
		{0, 3, 1, 1, 1},
		{5, 0, 1, 1, 1},
		{5, 1, 0, 0, 0},
		{5, 1e-9, 1, 0.95, 1},
		{3, 1, 1e-6, 0, 1e-11},
	} {
		if got := ProbabilityIdentical(c.n, c.sd, c.step); got < c.low || got > c.high {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

func TestBeforeRounding(t *testing.T) {
	if got := BeforeRounding(1, 0); got != 1 {
		t.Errorf("without a step %v", got)
	}
	if got := BeforeRounding(0.2, 1); got != 0 {
		t.Errorf("less than that of the step leaves %v", got)
	}
	if got, want := BeforeRounding(5, math.Sqrt(12)*3), 4.0; math.Abs(got-want) > 1e-14 {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestFromFirst: 1 km less 1 pm is exact, as a float it would not be.
func TestFromFirst(t *testing.T) {
	type length int64
	got := FromFirst([]length{1e15, 1e15 - 1, -1e15})
	if want := []float64{0, -1, -2e15}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if got := FromFirst([]length{}); len(got) != 0 {
		t.Errorf("differences of nothing are %v", got)
	}
	if got := Float(length(-7)); got != -7 {
		t.Errorf("float of -7 is %v", got)
	}
}
