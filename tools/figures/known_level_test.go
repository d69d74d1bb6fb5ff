package main

import (
	"math"
	"testing"

	"gauged/internal/health/drift"
)

// TestChain: the chain gives the average run lengths of the integral equation, and for
// slack 0.5 and height 4 those that are published: 336 one-sided while nothing has
// moved and 8.38 after one sigma (Lucas and Crosier, 1982; NIST/SEMATECH e-Handbook,
// 6.3.2.3, two-sided 168; both from memory).
func TestChain(t *testing.T) {
	for _, c := range []struct{ slack, height, shift, want float64 }{
		{0.5, 4, 0, 336},
		{0.5, 4, 1, 8.38},
		{drift.UsualSlack, drift.UsualHeight, 1, drift.CUSUMSideRunLength(drift.UsualSlack, drift.UsualHeight, 1)},
		{drift.UsualSlack, drift.UsualHeight, 2, drift.CUSUMSideRunLength(drift.UsualSlack, drift.UsualHeight, 2)},
	} {
		got := chain{slack: c.slack, height: c.height, single: 40, cells: 60}.average(c.shift)
		if math.Abs(got/c.want-1) > 0.01 {
			t.Errorf("slack %g, height %g, moved by %g: %.4g, want %.4g", c.slack, c.height, c.shift, got, c.want)
		}
	}
}

// average is the average run length from a sum of 0, one that is larger than a few
// thousand left out.
func (c chain) average(shift float64) float64 {
	in, total := c.start(), 0.0
	for range 20000 {
		left := 0.0
		for _, p := range in {
			left += p
		}
		if total += left; left < 1e-9 {
			break
		}
		in = c.step(in, shift)
	}
	return total
}
