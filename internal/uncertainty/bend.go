package uncertainty

import "math"

// Departs says by how much a model leaves the straight line of its slopes, in the
// unit of the result: the greatest departure of each input within three standard
// uncertainties, and of each two inputs one each away, added up. The model is of
// deviations from the estimates. most is the input that departs most.
func Departs(m Model, slopes []float64, inputs []Input) (total float64, most int) {
	x := make([]float64, len(inputs))
	line := func() float64 {
		sum := 0.0
		for i, c := range slopes {
			sum += float64(c * x[i])
		}
		return sum
	}
	middle := m(x)
	of := make([]float64, len(inputs))
	for i, a := range inputs {
		for _, k := range []float64{-3, -2, -1, 1, 2, 3} {
			x[i] = k * a.Standard
			of[i] = max(of[i], math.Abs(m(x)-middle-line()))
		}
		x[i] = 0
		total += of[i]
	}
	for i := range inputs {
		for j := range i {
			both := 0.0
			for _, k := range []float64{-1, 1} {
				x[i], x[j] = inputs[i].Standard, k*inputs[j].Standard
				together := m(x)
				x[j] = 0
				first := m(x)
				x[i], x[j] = 0, k*inputs[j].Standard
				both = max(both, math.Abs(together-first-m(x)+middle))
				x[j] = 0
			}
			of[i], of[j] = of[i]+both/2, of[j]+both/2
			total += both
		}
	}
	for i := range of {
		if of[i] > of[most] {
			most = i
		}
	}
	return total, most
}

// MonteCarloBoth draws a model of deviations, as MonteCarlo does, and the straight
// line of its slopes from the same deviates, so that the two differ by the bend
// alone.
func MonteCarloBoth(m Model, slopes []float64, inputs []Input, draws int, seed uint64) (bent, straight Sample, err error) {
	line := make([]float64, 0, max(draws, 0))
	bent, err = MonteCarlo(func(x []float64) float64 {
		sum := 0.0
		for i, c := range slopes {
			sum += float64(c * x[i])
		}
		line = append(line, sum)
		return m(x)
	}, inputs, draws, seed)
	return bent, Sample{line}, err
}

// Bent reports whether the intervals of level of confidence p from both samples
// end so far apart that the straight line must not be used: by more than 5 % of
// the standard uncertainty along it (JCGM 101, 8.1; see Dominant for the 5 %).
func Bent(bent, straight Sample, standard, p float64) bool {
	low, high := bent.Interval(p)
	lineLow, lineHigh := straight.Interval(p)
	return max(math.Abs(low-lineLow), math.Abs(high-lineHigh)) > 0.05*standard
}

// With is the sample with independent inputs added, whose estimates are nought.
func (s Sample) With(inputs []Input, seed uint64) Sample {
	d := newDrawer(seed)
	values := make([]float64, len(s.values))
	copy(values, s.values)
	var deviates [block]float64
	for start := 0; start < len(values); start += block {
		part := values[start:min(start+block, len(values))]
		for _, in := range inputs {
			d.fill(deviates[:len(part)], in)
			for k := range part {
				part[k] += float64(in.Standard * deviates[k])
			}
		}
	}
	return Sample{values}
}
