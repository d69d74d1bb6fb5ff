package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func genInput() *rapid.Generator[Input] {
	return rapid.Custom(func(t *rapid.T) Input {
		return Input{
			Name:         "x",
			Estimate:     rapid.Float64Range(-10, 10).Draw(t, "estimate"),
			Standard:     rapid.Float64Range(0.001, 10).Draw(t, "standard"),
			Distribution: rapid.SampledFrom([]Distribution{Normal, Student, Rectangular, Triangular, UShaped}).Draw(t, "distribution"),
			Freedom:      rapid.SampledFrom([]float64{0, 1, 2.5, 4, 9, 50, 1e5, math.Inf(1)}).Draw(t, "freedom"),
		}
	})
}

func genBudget(t *rapid.T) (inputs []Input, sensitivities []float64, b Budget) {
	inputs = rapid.SliceOfN(genInput(), 1, 8).Draw(t, "inputs")
	sensitivities = rapid.SliceOfN(rapid.Float64Range(0.1, 3), len(inputs), len(inputs)).Draw(t, "sensitivities")
	b, err := Combine(inputs, sensitivities)
	if err != nil {
		t.Fatal(err)
	}
	return inputs, sensitivities, b
}

func TestProbabilityIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, _, b := genBudget(t)
		y := rapid.Float64Range(-20, 20).Draw(t, "y")
		limits := rapid.SliceOfN(rapid.Float64Range(-100, 100), 3, 3).Draw(t, "limits")
		slices.Sort(limits)
		inf := math.Inf(1)
		edges := append(append([]float64{-inf}, limits...), inf)
		sum, before := 0.0, 0.0
		for i := range len(edges) - 1 {
			p := b.Probability(y, edges[i], edges[i+1])
			if p < 0 || p > 1 {
				t.Fatalf("probability %v", p)
			}
			sum += p
			if upTo := b.Probability(y, -inf, edges[i+1]); upTo < before-1e-14 {
				t.Fatalf("the probability falls from %v to %v with its limit", before, upTo)
			} else {
				before = upTo
			}
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Fatalf("the probabilities sum to %.16g", sum)
		}
	})
}

func TestExpandedHoldsItsProbability(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, _, b := genBudget(t)
		p := rapid.Float64Range(0.5, 0.9999).Draw(t, "p")
		expanded, _ := b.Expanded(p)
		if got := b.Probability(0, -expanded, expanded); math.Abs(got-p) > 1e-9 {
			t.Fatalf("the interval of %v holds %v", p, got)
		}
	})
}

func TestOrderOfInputs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inputs, sensitivities, b := genBudget(t)
		slices.Reverse(inputs)
		slices.Reverse(sensitivities)
		back, err := Combine(inputs, sensitivities)
		if err != nil {
			t.Fatal(err)
		}
		shares := 0.0
		for _, c := range back.Contributions {
			shares += c.Share
		}
		same := math.Abs(back.Standard-b.Standard) <= 1e-14*b.Standard &&
			(back.Freedom == b.Freedom || math.Abs(back.Freedom-b.Freedom) <= 1e-12*b.Freedom)
		if !same || math.Abs(shares-1) > 1e-12 {
			t.Fatalf("backwards: %v with freedom %v, forwards %v with %v; shares sum to %v", back.Standard, back.Freedom, b.Standard, b.Freedom, shares)
		}
	})
}

// TestNormalsByDraws: within 4.5 standard errors, and a fixed seed for each budget.
func TestNormalsByDraws(t *testing.T) {
	const draws = 20_000
	rapid.Check(t, func(t *rapid.T) {
		inputs, sensitivities, _ := genBudget(t)
		for i := range inputs {
			inputs[i].Distribution, inputs[i].Freedom = Normal, 0
		}
		b, err := Combine(inputs, sensitivities)
		if err != nil {
			t.Fatal(err)
		}
		linear := func(x []float64) float64 {
			sum := 0.0
			for i := range x {
				sum += sensitivities[i] * (x[i] - inputs[i].Estimate)
			}
			return sum
		}
		through, err := MonteCarlo(linear, inputs, draws, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []Sample{b.MonteCarlo(draws, 1), through} {
			limit := 1.3 * b.Standard
			p := b.Probability(0, -limit, limit)
			if math.Abs(s.Mean()) > 4.5*b.Standard/math.Sqrt(draws) ||
				math.Abs(s.Standard()-b.Standard) > 4.5*b.Standard/math.Sqrt(2*draws) ||
				math.Abs(s.Probability(-limit, limit)-p) > 4.5*math.Sqrt(p*(1-p)/draws) {
				t.Fatalf("mean %v, standard %v, probability %v; the budget has 0, %v, %v", s.Mean(), s.Standard(), s.Probability(-limit, limit), b.Standard, p)
			}
		}
	})
}

// TestIntervalsOfSortedValues: intervals are the ones that sorting and trying
// every place gives.
func TestIntervalsOfSortedValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 3000).Draw(t, "n")
		seed := rapid.Uint64().Draw(t, "seed")
		distinct := rapid.SampledFrom([]int{1, 3, 1 << 30}).Draw(t, "distinct")
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		r := rand.New(rand.NewPCG(seed, 0))
		values := make([]float64, n)
		for i := range values {
			values[i] = float64(r.IntN(distinct))
		}
		s := Sample{slices.Clone(values)}
		low, high := s.Interval(p)
		shortLow, shortHigh := s.Shortest(p)
		if !slices.Equal(s.values, values) {
			t.Fatal("the sample was changed")
		}
		slices.Sort(values)
		inside := min(int(math.Floor(p*float64(n)+0.5)), n-1)
		below := (n-inside+1)/2 - 1
		if low != values[below] || high != values[below+inside] {
			t.Fatalf("interval %v to %v, sorted %v to %v", low, high, values[below], values[below+inside])
		}
		shortest := math.Inf(1)
		for i := range n - inside {
			shortest = min(shortest, values[i+inside]-values[i])
		}
		if shortHigh-shortLow != shortest {
			t.Fatalf("the shortest is %v wide, trying gives %v", shortHigh-shortLow, shortest)
		}
	})
}

func TestEmptySample(t *testing.T) {
	b := Budget{Standard: 1, Freedom: math.Inf(1)}
	for _, draws := range []int{-1, 0} {
		s := b.MonteCarlo(draws, 1)
		low, high := s.Interval(0.95)
		shortLow, shortHigh := s.Shortest(0.95)
		for _, v := range []float64{s.Mean(), s.Standard(), s.Probability(0, 1), low, high, shortLow, shortHigh} {
			if !math.IsNaN(v) {
				t.Errorf("%d draws give %v", draws, v)
			}
		}
	}
}
