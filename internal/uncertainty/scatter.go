package uncertainty

import (
	"math"
	"slices"
)

// Median returns the middle of x, or the mean of the two in the middle; NaN
// without any value. x is not changed.
func Median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	sorted := slices.Sorted(slices.Values(x))
	half := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return sorted[half]
	}
	return sorted[half-1] + (sorted[half]-sorted[half-1])/2
}

// PredictionLimit returns the value that one further reading of the same
// normal distribution exceeds with the probability level only: mean + t s
// sqrt(1 + 1/n) (Hahn and Meeker, "Statistical Intervals", 1991, 4.7, from
// memory). The display step adds to the variance of x, as in [Grubbs]. A sd
// that is not 0 is known beforehand and replaces that of x, with infinitely
// many degrees of freedom. It is NaN when x has too few values.
func PredictionLimit(x []float64, level Level, step, sd float64) float64 {
	mean, own := MeanStdDev(x)
	n := float64(len(x))
	s, dof := widened(own, step), n-1
	if sd != 0 {
		s, dof = sd, math.Inf(1)
	}
	return mean + StudentQuantile(1-float64(level), dof)*s*math.Sqrt(1+1/n)
}

// Lag1 returns the correlation of each value with the next one of its run, sum
// x[i] x[i+1] / sum x[i]^2, for values about a mean or a line of theirs
// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12, lag 1; products over
// the end of a run are left out). Values that are all 0 give NaN.
func Lag1(runs ...[]float64) float64 {
	var products, squares compensated
	for _, run := range runs {
		for i, v := range run {
			squares.add(v * v)
			if i > 0 {
				products.add(run[i-1] * v)
			}
		}
	}
	return products.value() / squares.value()
}

// Scatter is a standard deviation with its degrees of freedom.
type Scatter struct {
	SD  float64
	DoF int
}

// ScatterOf returns the scatter of repeats; one value has none.
func ScatterOf(x []float64) Scatter {
	if len(x) < 2 {
		return Scatter{}
	}
	_, sd := MeanStdDev(x)
	return Scatter{SD: sd, DoF: len(x) - 1}
}

// Pool joins the scatter of several groups that have the same true scatter but
// not the same mean: the root of the mean of the variances, weighted by their
// degrees of freedom (NIST/SEMATECH e-Handbook of Statistical Methods, 2.6.1.2).
// Without degrees of freedom it is the zero Scatter.
func Pool(groups ...Scatter) Scatter {
	var squares compensated
	dof := 0
	for _, g := range groups {
		squares.add(g.SD * g.SD * float64(g.DoF))
		dof += g.DoF
	}
	if dof == 0 {
		return Scatter{}
	}
	return Scatter{SD: math.Sqrt(squares.value() / float64(dof)), DoF: dof}
}
