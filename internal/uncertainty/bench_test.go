package uncertainty

import "testing"

// ten is a linear budget of ten contributions as a station has them.
func ten(t testing.TB) Budget {
	in := func(d Distribution, u, freedom float64) Input {
		return Input{Name: string(d), Standard: u, Distribution: d, Freedom: freedom}
	}
	return combine(t, []Input{
		in(Student, 1, 9), in(Student, 0.8, 4), in(Normal, 0.5, 0), in(Normal, 0.5, 0), in(Normal, 0.4, 0),
		in(Normal, 0.3, 0), in(Rectangular, 0.29, 0), in(Rectangular, 0.5, 0), in(Triangular, 0.4, 0), in(UShaped, 0.6, 0),
	}, 1, -1, 1, 1, 1, 1, 1, 1, -1, 1)
}

func BenchmarkMillionDraws(b *testing.B) {
	budget := ten(b)
	const draws = 1_000_000
	for b.Loop() {
		s := budget.MonteCarlo(draws, 1)
		low, high := s.Interval(0.95)
		_ = s.Mean() + s.Standard() + s.Probability(low, high)
	}
	b.ReportMetric(draws*float64(b.N)/b.Elapsed().Seconds(), "draws/s")
}

func BenchmarkDraw(b *testing.B) {
	for _, c := range []struct {
		name string
		in   Input
	}{
		{"normal", Input{Distribution: Normal}},
		{"student", Input{Distribution: Student, Freedom: 9}},
		{"rectangular", Input{Distribution: Rectangular}},
		{"triangular", Input{Distribution: Triangular}},
		{"u-shaped", Input{Distribution: UShaped}},
	} {
		b.Run(c.name, func(b *testing.B) {
			d := newDrawer(1)
			values := make([]float64, block)
			for b.Loop() {
				d.fill(values, c.in)
			}
			b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/block, "ns/draw")
		})
	}
}

func BenchmarkBudgetWithTwentyProbabilities(b *testing.B) {
	from := ten(b)
	var inputs []Input
	var sensitivities []float64
	for _, c := range from.Contributions {
		inputs, sensitivities = append(inputs, c.Input), append(sensitivities, c.Sensitivity)
	}
	for b.Loop() {
		budget := combine(b, inputs, sensitivities...)
		for i := range 20 {
			budget.Probability(float64(i)/4, -3, 3)
		}
	}
}

func BenchmarkDominant(b *testing.B) {
	budget := combine(b, []Input{
		{Name: "rest", Standard: 0.5, Distribution: Student, Freedom: 9},
		{Name: "step", Standard: 1, Distribution: Rectangular},
	}, 1, 1)
	for b.Loop() {
		budget.Dominant()
	}
}

func BenchmarkShortest(b *testing.B) {
	s := ten(b).MonteCarlo(1_000_000, 1)
	for b.Loop() {
		s.Shortest(0.95)
	}
}
