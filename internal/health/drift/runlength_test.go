package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func TestRunLengthsOfCUSUM(t *testing.T) { // NIST/SEMATECH e-Handbook, 6.3.2.3.1
	compare(t, "ARL-C", map[string]float64{
		"h 4, shift 0, one-sided": CUSUMSideRunLength(0.5, 4, 0), "h 5, shift 0, one-sided": CUSUMSideRunLength(0.5, 5, 0),
		"h 4, shift 0, two-sided": CUSUMRunLength(0.5, 4, 0), "h 5, shift 0, two-sided": CUSUMRunLength(0.5, 5, 0),
		"h 4, shift 1": CUSUMRunLength(0.5, 4, 1), "h 5, shift 1": CUSUMRunLength(0.5, 5, 1), "h 5, shift 0.5": CUSUMRunLength(0.5, 5, 0.5),
		"Shewhart 3 sigma, shift 0": ShewhartRunLength(3, 0), "Shewhart 3 sigma, shift 1": ShewhartRunLength(3, 1),
	})
	data := columns(t, "arl_cusum.csv")
	for i, shift := range data["shift"] {
		near(t, "h 4, one side", CUSUMSideRunLength(0.5, 4, shift), data["arl_h4_one"][i], 6e-5)
		near(t, "h 4", CUSUMRunLength(0.5, 4, shift), data["arl_h4_two"][i], 6e-5)
		near(t, "h 5, one side", CUSUMSideRunLength(0.5, 5, shift), data["arl_h5_one"][i], 6e-5)
		near(t, "h 5", CUSUMRunLength(0.5, 5, shift), data["arl_h5_two"][i], 6e-5)
		near(t, "single", ShewhartRunLength(3, shift), data["arl_shewhart_3sigma"][i], 6e-5)
	}
}

func TestRunLengthsOfEWMA(t *testing.T) { // Lucas and Saccucci 1990, from memory
	compare(t, "ARL-E", map[string]float64{
		"lambda 0.25, L 3, shift 1": EWMARunLength(0.25, 3, 1), "lambda 0.10, L 2.814, shift 0": EWMARunLength(0.1, 2.814, 0),
		"lambda 0.10, L 2.814, shift 1": EWMARunLength(0.1, 2.814, 1), "lambda 0.20, L 2.962, shift 0.5": EWMARunLength(0.2, 2.962, 0.5),
	})
	data := columns(t, "arl_ewma.csv")
	for i, lambda := range data["lambda"] {
		got := EWMARunLength(lambda, data["L"][i], data["shift"][i])
		near(t, "average run length", got, data["arl"][i], 6e-5)
		printed := data["printed_from_memory"][i]
		within := 0.1
		if printed >= 100 {
			within = 1
		}
		near(t, "printed", got, printed, within)
	}
}

// TestRunLengthsOtherwise is a second opinion: the Markov chain of Brook and
// Evans 1972 (from memory) for the CUSUM, and the charts themselves on simulated
// errors (PCG seeds 1, 2).
func TestRunLengthsOtherwise(t *testing.T) {
	for _, shift := range []float64{0, 0.5, 1, 2} {
		near(t, "Markov chain", brookEvans(0.5, 4, shift, 200), CUSUMSideRunLength(0.5, 4, shift), 1e-3*CUSUMSideRunLength(0.5, 4, shift))
	}
	random := rand.New(rand.NewPCG(1, 2))
	b := Baseline{Sigma: 1}
	type chartOf struct {
		start func() func(float64) bool
		want  func(shift float64) float64
	}
	charts := map[string]chartOf{
		"EWMA":   {func() func(float64) bool { return NewEWMA(b, 0.2, 2.962).Add }, func(s float64) float64 { return EWMARunLength(0.2, 2.962, s) }},
		"CUSUM":  {func() func(float64) bool { return NewCUSUM(b, 0.5, 4).Add }, func(s float64) float64 { return CUSUMRunLength(0.5, 4, s) }},
		"single": {func() func(float64) bool { return func(x float64) bool { return math.Abs(x) > 2.5 } }, func(s float64) float64 { return ShewhartRunLength(2.5, s) }},
	}
	const runs = 2000
	for name, c := range charts {
		for _, shift := range []float64{0, 1} {
			sum, squares := 0.0, 0.0
			for range runs {
				add, n := c.start(), 1.0
				for !add(random.NormFloat64() + shift) {
					n++
				}
				sum += n
				squares += n * n
			}
			mean := sum / runs
			near(t, name, mean, c.want(shift), 4*math.Sqrt((squares/runs-mean*mean)/runs))
		}
	}
}

// brookEvans cuts the range of the sum into n states about 0, w, 2w, ...
func brookEvans(k, h, shift float64, n int) float64 {
	w := 2 * h / float64(2*n-1)
	a, ones := system(n)
	below := func(x float64) float64 { return distuv.UnitNormal.CDF(x + k - shift) }
	for i := range n {
		a[i][0] -= below(w/2 - float64(i)*w)
		for j := 1; j < n; j++ {
			a[i][j] -= below(float64(j-i)*w+w/2) - below(float64(j-i)*w-w/2)
		}
	}
	return solve(a, ones)[0]
}

// TestSigmaUncertainty compares with simulated checks (PCG seeds 3, 4), over an
// adjustment.
func TestSigmaUncertainty(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{3, 10, 30} {
		const runs = 10000
		sum, squares := 0.0, 0.0
		var b Baseline
		for range runs {
			var w Watch
			level := 0.0
			for i := range n {
				if w.learned.learn(level + random.NormFloat64()); i == n/2 {
					level = 5
					w.learned.adjusted(left(level + random.NormFloat64()))
				}
			}
			b, _ = w.Baseline()
			sum += b.Sigma
			squares += b.Sigma * b.Sigma
		}
		mean := sum / runs
		if b.Freedom != n-1 { // n errors and one as left, at two levels
			t.Errorf("%d degrees of freedom from %d checks", b.Freedom, n)
		}
		near(t, "its uncertainty", b.SigmaUncertainty(), math.Sqrt(squares/runs-mean*mean)/mean, 0.02)
	}
}
