package study

import "testing"

// TestKnownDigits: a figure in a sentence has as many decimals as two digits of its standard
// uncertainty (JCGM 100, 7.2.6), and five digits where that is not known; the values are ours.
func TestKnownDigits(t *testing.T) {
	for _, c := range []struct {
		x, standard float64
		want        string
	}{{-0.110752, 0.0519, "-0.111"}, {0.00047078, 0.0042, "0.0005"}, {0.0519, 0.0519, "0.052"}, {0.510909, 0, "0.51091"}} {
		if got := known("x", c.x, c.standard); got.Digits != c.want {
			t.Errorf("%g with %g: %s, want %s", c.x, c.standard, got.Digits, c.want)
		}
	}
}
