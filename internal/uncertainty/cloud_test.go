package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomBudget has one to four contributions of any shape, few of them alike.
func randomBudget(t testing.TB, r *rand.Rand) Budget {
	shapes := []Distribution{Normal, Student, Rectangular, Triangular, UShaped}
	var inputs []Input
	var slopes []float64
	for range 1 + r.IntN(4) {
		in := Input{Name: "x", Standard: math.Exp(r.NormFloat64()), Distribution: shapes[r.IntN(len(shapes))]}
		if in.Distribution == Student || r.IntN(4) == 0 {
			in.Freedom = float64(1 + r.IntN(20))
		}
		inputs, slopes = append(inputs, in), append(slopes, r.NormFloat64())
	}
	return combine(t, inputs, slopes...)
}

// TestDrawsAsMonteCarlo: the kept draws give what a run of its own gives, to the
// last draw, also when more shapes came by than are kept.
func TestDrawsAsMonteCarlo(t *testing.T) {
	const count, seed = 10_007, 5
	r := rand.New(rand.NewPCG(1, 1))
	d := NewDraws(count, seed)
	shapes, inside := 0, 0
	for i := range 300 {
		b := randomBudget(t, r)
		s := b.MonteCarlo(count, seed)
		for range 5 {
			low, high := b.Standard*3*r.NormFloat64(), b.Standard*3*r.NormFloat64()
			low, high = min(low, high), max(low, high)
			switch r.IntN(6) {
			case 0:
				low = math.Inf(-1)
			case 1:
				high = math.Inf(1)
			case 2:
				low, high = s.values[r.IntN(count)], s.values[r.IntN(count)] // a value on a limit is inside
			}
			want := s.Probability(low, high)
			if got := d.Probability(b, low, high); got != want {
				t.Fatalf("budget %d, %g to %g: %v, the run gives %v\n%+v", i, low, high, got, want, b)
			}
			if want > 0 && want < 1 {
				inside++
			}
		}
		if low, high := -b.Standard, b.Standard/2; i%20 == 0 { // so often that the sample is kept
			want := s.Probability(low, high)
			for range oftenEnough + 1 {
				if got := d.Probability(b, low, high); got != want {
					t.Fatalf("kept sample: %v, the run gives %v", got, want)
				}
			}
			if got := d.Probability(b, high, low); got != 0 {
				t.Fatalf("between limits the wrong way round %v", got)
			}
		}
		shapes = max(shapes, len(d.clouds))
	}
	if shapes != keptClouds || inside < 500 {
		t.Errorf("%d shapes were kept at most, want %d; %d probabilities were neither 0 nor 1", shapes, keptClouds, inside)
	}
	if in, out := d.Probability(combine(t, nil), 0, 1), d.Probability(combine(t, nil), 1, 2); in != 1 || out != 0 {
		t.Errorf("without contributions %v and %v", in, out)
	}
}

// searched is Budget.Dominant by the whole search.
func searched(b Budget) (dominates bool, distance float64) {
	index := -1
	for i, c := range b.Contributions {
		if c.Distribution.limit() > 0 && (index < 0 || c.Contribution > b.Contributions[index].Contribution) {
			index = i
		}
	}
	if index < 0 || b.Contributions[index].Share < 0.4 {
		return false, math.NaN()
	}
	rest, freedom := combined(b.Contributions, index)
	distance = math.Abs(b.Coverage(0.95) - upperEnd(b.Contributions[index], rest, freedom, b.Standard)/b.Standard)
	return distance > 0.05, distance
}

// TestDominantAsSearched: also near the 5 %.
func TestDominantAsSearched(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	d := NewDraws(100, 1)
	near, dominates := 0, 0
	for i := range 4000 {
		b := randomBudget(t, r)
		if i%2 == 0 { // about the share at which a rectangular one begins to dominate
			shape := []Distribution{Rectangular, UShaped, Triangular}[r.IntN(3)]
			rest := map[Distribution]float64{Rectangular: 0.92, UShaped: 1.04, Triangular: 0.4}[shape] * (1 + 0.05*r.NormFloat64())
			b = combine(t, []Input{{Name: "a", Standard: 1, Distribution: shape}, {Name: "b", Standard: rest, Distribution: Normal}}, 1, 1)
		}
		want, distance := searched(b)
		_, got := b.Dominant()
		_, kept := d.Dominant(b)
		_, again := d.Dominant(b)
		if got != want || kept != want || again != want {
			t.Fatalf("%v, kept %v, again %v, by search %v at %g\n%+v", got, kept, again, want, distance, b)
		}
		if math.Abs(distance-0.05) < 0.004 {
			near++
		}
		if want {
			dominates++
		}
	}
	if near < 200 || dominates < 500 {
		t.Errorf("%d of the budgets were near the 5 %%, %d had a dominant contribution", near, dominates)
	}
}

func BenchmarkKeptDraws(b *testing.B) {
	budget := combine(b, []Input{
		{Name: "rest", Standard: 0.5, Distribution: Student, Freedom: 4},
		{Name: "step", Standard: 1, Distribution: Rectangular},
	}, 1, 1)
	d := NewDraws(200_000, 1)
	d.Probability(budget, 0, 1)
	for b.Loop() {
		d.Probability(budget, -1.5, 3)
	}
}
