package uncertainty

import "math"

// block is how many draws are made at once: small enough to stay in the cache.
const block = 1024

// MonteCarlo draws the inputs and returns the results of the model (JCGM 101,
// clause 7). The same seed gives the same sample. A mean of repeated readings of
// freedom 2 or less has no standard deviation, and with it the sample; its
// intervals hold. It fails when an input cannot be computed with.
func MonteCarlo(m Model, inputs []Input, draws int, seed uint64) (Sample, error) {
	if err := check(inputs); err != nil {
		return Sample{}, err
	}
	d := newDrawer(seed)
	values := make([]float64, max(draws, 0))
	columns := make([][]float64, len(inputs))
	for i := range columns {
		columns[i] = make([]float64, block)
	}
	x := make([]float64, len(inputs))
	for start := 0; start < len(values); start += block {
		part := values[start:min(start+block, len(values))]
		for i, in := range inputs {
			d.fill(columns[i][:len(part)], in)
		}
		for k := range part {
			for i, in := range inputs {
				x[i] = in.Estimate + float64(in.Standard*columns[i][k])
			}
			part[k] = m(x)
		}
	}
	return Sample{values}, nil
}

// MonteCarlo draws deviations of the budget's result from its estimate. Normal
// contributions of infinite freedom are drawn as the one which they are together.
// The same seed gives the same sample.
func (b Budget) MonteCarlo(draws int, seed uint64) Sample {
	d := newDrawer(seed)
	values := make([]float64, max(draws, 0))
	parts := mergeNormal(b.Contributions)
	var deviates [block]float64
	for start := 0; start < len(values); start += block {
		part := values[start:min(start+block, len(values))]
		for _, c := range parts {
			column := deviates[:len(part)]
			d.fill(column, c.Input)
			for k, z := range column {
				part[k] += float64(c.Contribution * z)
			}
		}
	}
	return Sample{values}
}

// mergeNormal is what has to be drawn: all normal contributions as one, then
// the others that contribute.
func mergeNormal(contributions []Contribution) []Contribution {
	variance := 0.0
	var parts []Contribution
	for _, c := range contributions {
		switch {
		case c.Distribution.limit() == 0 && math.IsInf(c.freedom(), 1):
			variance += float64(c.Contribution * c.Contribution)
		case c.Contribution > 0:
			parts = append(parts, c)
		}
	}
	if variance > 0 {
		normal := Contribution{Input: Input{Distribution: Normal}, Contribution: math.Sqrt(variance)}
		parts = append([]Contribution{normal}, parts...)
	}
	return parts
}
