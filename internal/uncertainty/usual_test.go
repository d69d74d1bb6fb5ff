package uncertainty

import "testing"

// TestUsualScatterCounts: with 4 and 29 degrees of freedom the variances may differ
// 4.04 times at 1 % (F table of the NIST/SEMATECH e-Handbook, 1.3.6.7.3), with 3 and
// infinitely many 11.345/3 = 3.78 times (chi-square, 1.3.6.7.4).
func TestUsualScatterCounts(t *testing.T) {
	// Five readings whose standard deviation is f: -f*sqrt(2), f*sqrt(2) and three of 0.
	five := func(f float64) []float64 { return []float64{-f * 1.4142135624, f * 1.4142135624, 0, 0, 0} }
	for _, c := range []struct {
		name    string
		repeats []float64
		usual   Scatter
		step    float64
		own     bool
		more    bool
	}{
		{"four, as usual", five(1)[:4], Scatter{1, 29}, 0, false, false},
		{"five count themselves", five(1), Scatter{1, 29}, 0, true, false},
		{"just within what chance does", five(2.00), Scatter{1, 29}, 0, true, false}, // 4.00
		{"just beyond it", five(2.02), Scatter{1, 29}, 0, true, true},                // 4.08
		{"the rounding of the display is part of what is shown", five(2.02), Scatter{1, 29}, 1, true, false},
		{"half a thousandth, shown in thousandths: one step apart", []float64{0, 1, 0, 1, 0, 1, 0, 1, 0, 1}, Scatter{0.1, 100}, 1, false, false},
		{"two steps apart", []float64{0, 2, 0, 2, 0, 2, 0, 2, 0, 2}, Scatter{0.1, 100}, 1, true, true},
		{"exactly known, within", []float64{-1.94, 1.94, -1.94 / 3, 1.94 / 3}, Scatter{1, 0}, 0, false, false},
		{"exactly known, beyond", []float64{-2.2, 2.2, -2.2, 2.2}, Scatter{1, 0}, 0, true, true},
		{"five equal ones show no scatter", make([]float64, 5), Scatter{1, 29}, 0, false, false},
		{"more own readings than usual ones", five(1)[:4], Scatter{1, 2}, 0, true, false},
		{"one reading", []float64{7}, Scatter{1, 2}, 0, false, false},
	} {
		got, more := c.usual.Counts(c.repeats, c.step)
		want := c.usual
		if c.own {
			want = ScatterOf(c.repeats)
		}
		if got != want || more != c.more {
			t.Errorf("%s: %+v, more than usual %v; it should be %+v, %v", c.name, got, more, want, c.more)
		}
	}
}
