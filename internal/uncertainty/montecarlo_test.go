package uncertainty

import (
	"hash/fnv"
	"math"
	"slices"
	"strconv"
	"testing"
)

func TestSumOfFour(t *testing.T) {
	const draws = 1_000_000
	for d, id := range map[Distribution]string{Normal: "S1-922", Rectangular: "S1-923"} {
		var inputs []Input
		for range 4 {
			inputs = append(inputs, Input{Name: "X", Standard: 1, Distribution: d})
		}
		b := combine(t, inputs, 1, 1, 1, 1)
		expanded, _ := b.Expanded(0.95)
		end := expanded
		if d == Rectangular { // the standard's closed form
			end = 2 * math.Sqrt(3) * (2 - math.Pow(0.6, 0.25))
		}
		compare(t, id, map[string]float64{"u(y)": b.Standard, "upper end": end})
		s := b.MonteCarlo(draws, 1)
		near(t, id+" sample's mean", s.Mean(), 0, 4*2/math.Sqrt(draws))
		near(t, id+" sample's standard deviation", s.Standard(), 2, 4*2/math.Sqrt(2*draws))
		low, high := s.Interval(0.95)
		near(t, id+" sample's lower end", low, -end, 0.02) // four standard errors of the end
		near(t, id+" sample's upper end", high, end, 0.02)
		low, high = s.Shortest(0.95)
		near(t, id+" length of the shortest", high-low, 2*end, 0.04)
	}
}

// TestGaugeBlockByDraws is JCGM 101, 9.5: the whole model, which is not linear.
// Tolerances are those of the printed values and the sample together.
func TestGaugeBlockByDraws(t *testing.T) {
	inputs := []Input{
		{Name: "standard", Estimate: 623, Standard: 25, Distribution: Student, Freedom: 18},
		{Name: "difference", Estimate: 215, Standard: 6, Distribution: Student, Freedom: 24},
		{Name: "comparator, random", Standard: 4, Distribution: Student, Freedom: 5},
		{Name: "comparator, systematic", Standard: 7, Distribution: Student, Freedom: 8},
		{Name: "expansion", Estimate: 11.5e-6, Standard: FromHalfWidth(2e-6, Rectangular), Distribution: Rectangular},
		{Name: "mean temperature", Estimate: -0.1, Standard: 0.2, Distribution: Normal},
		{Name: "cycle of temperature", Standard: FromHalfWidth(0.5, UShaped), Distribution: UShaped},
		// Limits of 1e-6 known to 0.1e-6, and of 0.05 known to 0.025.
		{Name: "difference of expansion", Standard: FromHalfWidth(1e-6, Rectangular), Distribution: Rectangular, Freedom: FreedomFromReliability(0.1)},
		{Name: "difference of temperature", Standard: FromHalfWidth(0.05, Rectangular), Distribution: Rectangular, Freedom: FreedomFromReliability(0.5)},
	}
	m := func(x []float64) float64 {
		ls := 50e6 + x[0]
		return x[0] + x[1] + x[2] + x[3] - ls*(x[7]*(x[5]+x[6])+x[4]*x[8])
	}
	b := combine(t, inputs, Sensitivities(m, inputs)...)
	near(t, "u of the budget", b.Standard, 32, 0.5)
	s, err := MonteCarlo(m, inputs, 1_000_000, 95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", s.Mean(), 838, 0.5)
	near(t, "standard deviation", s.Standard(), 36, 0.5)
	near(t, "standard deviation, of a run of 8e6 draws", s.Standard(), 35.81, 0.12)
	low, high := s.Shortest(0.99)
	near(t, "lower end", low, 745, 1.5)
	near(t, "upper end", high, 932, 1.5)
}

// mixed has every shape, with finite and infinite freedom.
func mixed(t testing.TB) Budget {
	return combine(t, []Input{
		{Name: "repeat", Standard: 1.1, Distribution: Student, Freedom: 9},
		{Name: "few", Standard: 0.3, Distribution: Student, Freedom: 1.5},
		{Name: "certificate", Standard: 0.8, Distribution: Normal},
		{Name: "master", Standard: 0.5, Distribution: Normal},
		{Name: "fit", Standard: 0.4, Distribution: Normal, Freedom: 50},
		{Name: "step", Standard: Resolution(1), Distribution: Rectangular},
		{Name: "limit", Standard: 0.6, Distribution: Rectangular, Freedom: 8},
		{Name: "temperature", Standard: 0.7, Distribution: UShaped},
		{Name: "form", Standard: 0.2, Distribution: Triangular},
		{Name: "blurred form", Standard: 0.2, Distribution: Triangular, Freedom: 2},
	}, 1, -1, 1, 1, 0.5, 1, -2, 1, 1, 1)
}

// TestSameOnEveryMachine: the bits of a sample, and of one through a model, have
// not changed. Run it with GOAMD64=v3 too, where products could be fused.
func TestSameOnEveryMachine(t *testing.T) {
	b := mixed(t)
	h := fnv.New64a()
	var inputs []Input
	for _, c := range b.Contributions {
		inputs = append(inputs, c.Input)
	}
	through, err := MonteCarlo(func(x []float64) float64 { return x[0] + x[5] + x[6] + x[7] + x[8] }, inputs, 5000, 3)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range append(b.MonteCarlo(200_000, 2).values, through.values...) {
		for bits, i := math.Float64bits(v), 0; i < 8; i++ {
			h.Write([]byte{byte(bits >> (8 * i))})
		}
	}
	if got, want := strconv.FormatUint(h.Sum64(), 16), "6f137f791264839d"; got != want {
		t.Errorf("the sample's bits have hash %s, it was %s: results of stored jobs would change", got, want)
	}
}

func TestSeeds(t *testing.T) {
	b := mixed(t)
	if a, again := b.MonteCarlo(3000, 1), b.MonteCarlo(3000, 1); !slices.Equal(a.values, again.values) {
		t.Error("the same seed gives another sample")
	}
	if a, other := b.MonteCarlo(3000, 1), b.MonteCarlo(3000, 2); slices.Equal(a.values[:10], other.values[:10]) {
		t.Error("another seed gives the same sample")
	}
	if a, longer := b.MonteCarlo(block, 1), b.MonteCarlo(block+1, 1); !slices.Equal(a.values, longer.values[:block]) {
		t.Error("a longer sample begins otherwise")
	}
}

// TestDeviates compares the drawn shapes with their distribution functions over
// 64 cells of equal probability: chi-square has mean 63 and stays below 120 but
// for 2 in 100 000 seeds, and the seeds are fixed.
func TestDeviates(t *testing.T) {
	const n, cells = 1 << 20, 64
	student := func(nu float64) func(float64) float64 {
		return func(x float64) float64 {
			if x < 0 {
				return above(-x, nu)
			}
			return 1 - above(x, nu)
		}
	}
	limited := func(d Distribution) func(float64) float64 {
		return func(x float64) float64 {
			switch z := max(-1, min(1, x/d.limit())); d {
			case Triangular:
				return 0.5 + z - z*math.Abs(z)/2
			case UShaped:
				return 0.5 + math.Asin(z)/math.Pi
			default:
				return 0.5 + z/2
			}
		}
	}
	for name, c := range map[string]struct {
		in  Input
		cdf func(float64) float64
	}{
		"normal":      {Input{Distribution: Normal}, student(math.Inf(1))},
		"rectangular": {Input{Distribution: Rectangular}, limited(Rectangular)},
		"triangular":  {Input{Distribution: Triangular}, limited(Triangular)},
		"u-shaped":    {Input{Distribution: UShaped}, limited(UShaped)},
		"student 0.7": {Input{Distribution: Student, Freedom: 0.7}, student(0.7)},
		"student 1":   {Input{Distribution: Student, Freedom: 1}, student(1)},
		"student 2":   {Input{Distribution: Student, Freedom: 2}, student(2)},
		"student 5.5": {Input{Distribution: Student, Freedom: 5.5}, student(5.5)},
		"student 300": {Input{Distribution: Normal, Freedom: 300}, student(300)},
	} {
		values := make([]float64, n)
		newDrawer(11).fill(values, c.in)
		var counts [cells]float64
		var tail, farTail float64
		for _, v := range values {
			p := c.cdf(v)
			counts[min(int(p*cells), cells-1)]++
			if p < 1e-4 || p > 1-1e-4 {
				farTail++
			}
			if p < 1e-3 || p > 1-1e-3 {
				tail++
			}
		}
		chi := 0.0
		for _, k := range counts {
			chi += (k - n/cells) * (k - n/cells) / (n / cells)
		}
		if chi > 120 {
			t.Errorf("%s: chi-square is %.1f over %d cells", name, chi, cells)
		}
		near(t, name+": beyond 1 in 1000 on both sides", tail, n*2e-3, 4*math.Sqrt(n*2e-3))
		near(t, name+": beyond 1 in 10 000 on both sides", farTail, n*2e-4, 4*math.Sqrt(n*2e-4))
	}
}

// TestBlurredLimits: the variance is that of JCGM 101, 6.4.3.3: w*w/3 + d*d/9.
func TestBlurredLimits(t *testing.T) {
	in := Input{Name: "x", Standard: FromHalfWidth(1, Rectangular), Distribution: Rectangular, Freedom: FreedomFromReliability(0.5)}
	s := combine(t, []Input{in}, 1).MonteCarlo(500_000, 4)
	near(t, "standard deviation", s.Standard(), math.Sqrt(1.0/3+0.25/9), 0.002)
	if outside := 1 - s.Probability(-1.5, 1.5); outside > 0 {
		t.Errorf("%v of the sample is outside the widest limits", outside)
	}
	near(t, "within the narrowest limits", s.Probability(-0.5, 0.5), 0.5*math.Log(3), 0.003)
}

func TestExpAndLog(t *testing.T) {
	for x := -690.0; x < 690; x += 0.7310585 {
		near(t, "exp "+strconv.FormatFloat(x, 'g', -1, 64), exp(x)/math.Exp(x), 1, 1e-15)
		y := math.Exp(x)
		near(t, "log "+strconv.FormatFloat(y, 'g', -1, 64), log(y), math.Log(y), 1e-15*max(1, math.Abs(x)))
	}
	if got := exp(-1e6); got != 0 {
		t.Errorf("exp(-1e6) is %v", got)
	}
}
