package jobs

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
)

// table reads the rows of a reference table; the first line that is no comment
// holds the names.
func table(t *testing.T, path string) []map[string]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []map[string]float64
	for _, row := range rows[1:] {
		values := map[string]float64{}
		for i, text := range row {
			if values[rows[0][i]], err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		all = append(all, values)
	}
	if len(all) == 0 {
		t.Fatalf("%s has no rows", path)
	}
	return all
}

// TestCusumPublished: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3. Its
// allowance is 0.3175 in units of the data, so the data are scaled to ours.
func TestCusumPublished(t *testing.T) {
	const scale = allowance / 0.3175
	var c cusum
	for _, row := range table(t, "../../../testdata/statistics/cusum.csv") {
		c.add((row["x"] - 325) * scale)
		if high, low := c.high/scale, c.low/scale; math.Abs(high-row["s_hi"]) > 1e-9 || math.Abs(low-row["s_lo"]) > 1e-9 {
			t.Errorf("point %g: sums %g and %g, want %g and %g", row["i"], high, low, row["s_hi"], row["s_lo"])
		}
		if signal := c.worst()/scale > 4.1959; signal != (row["signal"] == 1) {
			t.Errorf("point %g: signal is %t", row["i"], signal)
		}
	}
}

// TestCusumLimit: the limits for the published two-sided run lengths without a
// change (NIST/SEMATECH e-Handbook, 6.3.2.3.1; recomputed).
func TestCusumLimit(t *testing.T) {
	row := table(t, "../../../testdata/statistics/arl_cusum.csv")[0]
	for h, runLength := range map[float64]float64{4: row["arl_h4_two"], 5: row["arl_h5_two"]} {
		if got := cusumLimit(runLength); math.Abs(got-h) > 0.02 {
			t.Errorf("the limit for a run length of %g is %g, want %g", runLength, got, h)
		}
	}
}

// TestCusumRunLength: a simulated run length without a change, the daily clip
// included, is that stated or a little longer.
func TestCusumRunLength(t *testing.T) {
	const stated = 300
	r, limit := rand.New(rand.NewPCG(1, 2)), cusumLimit(stated)
	total, runs := 0, 4000
	for range runs {
		var c cusum
		for c.worst() <= limit {
			c.add(max(-clipScore, min(clipScore, r.NormFloat64())))
			total++
		}
	}
	if mean := float64(total) / float64(runs); mean < stated || mean > 1.15*stated {
		t.Errorf("the run length is %g, stated are %d", mean, stated)
	}
}

// TestScoresAreStandardNormal: while the model holds, the scores of a gauge have
// mean 0, variance 1 and no correlation with the score before.
func TestScoresAreStandardNormal(t *testing.T) {
	var n, sum, squares, products float64
	for seed := range uint64(40) {
		s := aBench(100)
		s.checkEvery = 30
		residuals, anchors, _ := s.run(seed)
		byGauge := map[string][]Anchor{}
		for _, a := range anchors {
			byGauge[a.Gauge] = append(byGauge[a.Gauge], a)
		}
		s.model.Clip = 1e6
		g := newGroup(s.model, clusters(links(residuals), maxGroup)[0], residuals, byGauge, began, s.end())
		before := make([]float64, len(g.gauges))
		for e := range g.epochs {
			g.advance(e)
			for k, z := range g.scores(e) {
				if z != 0 {
					n, sum, squares, products = n+1, sum+z, squares+z*z, products+z*before[k]
				}
				before[k] = z
			}
		}
	}
	if n < 5000 {
		t.Fatalf("only %g scores", n)
	}
	if mean, variance, lag := sum/n, squares/n, products/n; math.Abs(mean) > 0.03 || math.Abs(variance-1) > 0.05 || math.Abs(lag) > 0.03 {
		t.Errorf("the scores have mean %.3f, variance %.3f and correlation %.3f", mean, variance, lag)
	}
}
