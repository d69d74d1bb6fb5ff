package main

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// chain is the upper sum of a CUSUM of checks whose level and scatter are known, as a
// Markov chain over cells of its height (Brook and Evans, "An approach to the
// probability distribution of CUSUM run length", 1972, cited from memory), together
// with the limits of a single check. It is computed apart from the program's own run
// lengths, which come from an integral equation.
type chain struct {
	slack, height, single float64
	cells                 int
}

// steps returns the probability to be in each cell after one check more that has moved
// by shift; what is missing from the sum has been pointed at.
func (c chain) step(in []float64, shift float64) []float64 {
	width := 2 * c.height / float64(2*c.cells-1)
	out := make([]float64, c.cells)
	below := func(z float64) float64 { return distuv.UnitNormal.CDF(min(max(z, -c.single), c.single) - shift) }
	for i, p := range in {
		if p == 0 {
			continue
		}
		last := below(-c.single)
		for j := range out {
			next := below((float64(j-i)+0.5)*width + c.slack)
			out[j] += p * (next - last)
			last = next
		}
	}
	return out
}

// start is a sum of 0.
func (c chain) start() []float64 {
	in := make([]float64, c.cells)
	in[0] = 1
	return in
}

// median is the median number of checks until a move by shift is pointed at, of gauges
// that were not pointed at in the checks before it.
func (c chain) median(before int, shift float64) int {
	in := c.start()
	for range before {
		in = c.step(in, 0)
	}
	all := 0.0
	for _, p := range in {
		all += p
	}
	for n := 1; ; n++ {
		in = c.step(in, shift)
		left := 0.0
		for _, p := range in {
			left += p
		}
		if left <= all/2 || math.IsNaN(left) {
			return n
		}
	}
}
