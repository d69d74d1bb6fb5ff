package uncertainty

import "testing"

// TestTwoDigits: the example of JCGM 100:2008, 7.2.2 and 7.2.6, is a mass of 100.02147 g with
// 0.35 mg; the others are ours.
func TestTwoDigits(t *testing.T) {
	for _, c := range []struct {
		value, u      float64
		written, with string
	}{
		{100.02147, 0.00035, "100.02147", "0.00035"},
		{10.05762, 0.027, "10.058", "0.027"}, // 7.2.6: 10.058 ohm with 27 milliohm
		{2.345, 0.0996, "2.35", "0.10"},
		{2.345, 0.994, "2.35", "0.99"},
		{2.345, 0.996, "2.3", "1.0"},
		{-0.0004, 0.021, "0.000", "0.021"},
		{1234.5, 123, "1230", "120"},
		{1234.5, 12.3, "1234", "12"},
		{1, 1, "1.0", "1.0"},
	} {
		if written, with := TwoDigits(c.value, c.u); written != c.written || with != c.with {
			t.Errorf("%g with %g: %s with %s, want %s with %s", c.value, c.u, written, with, c.written, c.with)
		}
	}
}
