package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func TestMedian(t *testing.T) {
	for _, c := range []struct {
		x    []float64
		want float64
	}{
		{[]float64{7}, 7},
		{[]float64{9, 1}, 5},
		{[]float64{3, 1, 2}, 2},
		{[]float64{4, 1, 3, 2}, 2.5},
		{[]float64{-1e308, 1e308, 1e308, -1e308}, 0},
	} {
		given := slices.Clone(c.x)
		if got := Median(c.x); got != c.want && !math.IsInf(c.want-got, 0) {
			t.Errorf("median of %v is %v, want %v", c.x, got, c.want)
		}
		if !slices.Equal(c.x, given) {
			t.Errorf("%v has become %v", given, c.x)
		}
	}
	if got := Median(nil); !math.IsNaN(got) {
		t.Errorf("median of nothing is %v", got)
	}
}

func TestMeanIntervalOfTheHandbook(t *testing.T) {
	x := readColumns(t, "statistics/zarr13.csv")["y"]
	mean, sd := MeanStdDev(x)
	low, high := MeanInterval(x, 0.95)
	compare(t, "HB-ZARR", map[string]float64{
		"mean":           mean,
		"sd":             sd,
		"t(0.975;194)":   StudentQuantile(0.975, 194),
		"lower":          low,
		"upper":          high,
		"T for mean = 5": (mean - 5) / (sd / math.Sqrt(float64(len(x)))),
	})
	if low, high := MeanInterval(x[:1], 0.95); !math.IsNaN(low) || !math.IsNaN(high) {
		t.Errorf("interval of one value is %v to %v", low, high)
	}
}

// TestPoolOfTheHandbook pools the repeats and the days of the gauge study, gauge 2362.
func TestPoolOfTheHandbook(t *testing.T) {
	columns := readColumns(t, "statistics/gauge_study_mpc61.csv")
	type place struct{ run, wafer float64 }
	var repeats, days []Scatter
	means := map[place][]float64{}
	for i, probe := range columns["probe"] {
		if probe != 2362 {
			continue
		}
		repeats = append(repeats, Scatter{SD: columns["sd_6"][i], DoF: 5})
		at := place{columns["run"][i], columns["wafer"][i]}
		means[at] = append(means[at], columns["mean"][i])
	}
	for _, m := range means {
		days = append(days, ScatterOf(m))
	}
	level1, level2 := Pool(repeats...), Pool(days...)
	compare(t, "HB-GAUGE", map[string]float64{
		"level 1 pooled (300 dof), 2.6.3.2": level1.SD,
		"level 2 pooled (50 dof)":           level2.SD,
	})
	if level1.DoF != 300 || level2.DoF != 50 {
		t.Errorf("%d and %d degrees of freedom, published are 300 and 50", level1.DoF, level2.DoF)
	}
}

func TestPoolWithoutRepeats(t *testing.T) {
	if got := Pool(ScatterOf([]float64{3}), ScatterOf(nil)); got != (Scatter{}) {
		t.Errorf("scatter of single values is %v", got)
	}
	want := ScatterOf([]float64{1, 2, 4})
	if got := Pool(want, ScatterOf([]float64{3})); got != want {
		t.Errorf("a single value turns %v into %v", want, got)
	}
}

func TestAutocorrelationOfEqualValues(t *testing.T) {
	if got := autocorrelation([]float64{2, 2, 2}); !math.IsNaN(got) {
		t.Errorf("autocorrelation of equal values is %v", got)
	}
}

// TestPredictionLimitKeepsItsLevel: one more value exceeds the limit as often as the level says.
func TestPredictionLimitKeepsItsLevel(t *testing.T) {
	const rounds, level = 5000, 0.05
	random := rand.New(rand.NewPCG(3, 4))
	within := 4 * math.Sqrt(rounds*level*(1-level))
	for _, known := range []float64{0, 1} {
		for _, n := range []int{2, 3, 10} {
			above := 0
			for range rounds {
				x := normal(random, n+1, 1)
				if x[n] > PredictionLimit(x[:n], level, 0, known) {
					above++
				}
			}
			if math.Abs(float64(above)-rounds*level) > within {
				t.Errorf("n %d, known sd %v: %d of %d above, expected 5 %%", n, known, above, rounds)
			}
		}
	}
	if got := PredictionLimit([]float64{1}, level, 0, 0); !math.IsNaN(got) {
		t.Errorf("limit after one value is %v", got)
	}
	if got, want := PredictionLimit([]float64{1}, level, 0, 2), 1+2*math.Sqrt2*NormalQuantile(0.95); math.Abs(got-want) > 1e-12 {
		t.Errorf("limit after one value of known scatter is %v, want %v", got, want)
	}
}

// MeanInterval returns the ends of the two-sided confidence interval of the
// mean, mean +- t(s) / sqrt(n), for a confidence such as 0.95 (NIST/SEMATECH
// e-Handbook of Statistical Methods, 1.3.5.2). Fewer than two values give NaN.
func MeanInterval(x []float64, confidence float64) (low, high float64) {
	mean, sd := MeanStdDev(x)
	n := float64(len(x))
	half := StudentQuantile((1+confidence)/2, n-1) * sd / math.Sqrt(n)
	return mean - half, mean + half
}

// autocorrelation is Lag1 of values about their mean.
func autocorrelation(x []float64) float64 {
	mean, _ := MeanStdDev(x)
	about := make([]float64, len(x))
	for i, v := range x {
		about[i] = v - mean
	}
	return Lag1(about)
}
