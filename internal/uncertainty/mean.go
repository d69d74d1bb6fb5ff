package uncertainty

import "math"

// MeanStdDev returns the mean and the sample standard deviation (divisor
// n - 1) of x. The mean is summed with compensation (Neumaier, "Rundungsfehler-
// analyse einiger Verfahren zur Summation endlicher Summen", 1974) and
// corrected once by the mean of the residuals; the deviation is the two-pass
// form with the correction for the rounded mean (Chan, Golub, LeVeque,
// "Algorithms for computing the sample variance", 1983). One value has no
// standard deviation: NaN; without any value both are NaN.
func MeanStdDev(x []float64) (mean, sd float64) {
	n := float64(len(x))
	mean = total(x, 0) / n
	mean += total(x, mean) / n
	var squares, rest compensated
	for _, v := range x {
		d := v - mean
		squares.add(d * d)
		rest.add(d)
	}
	r := rest.value()
	return mean, math.Sqrt((squares.value() - r*r/n) / (n - 1))
}

// total adds the differences of x from origin.
func total(x []float64, origin float64) float64 {
	var s compensated
	for _, v := range x {
		s.add(v - origin)
	}
	return s.value()
}

// compensated is a sum that keeps what rounding takes from it.
type compensated struct{ total, lost float64 }

func (c *compensated) add(v float64) {
	t := c.total + v
	if math.Abs(c.total) >= math.Abs(v) {
		c.lost += (c.total - t) + v
	} else {
		c.lost += (v - t) + c.total
	}
	c.total = t
}

func (c *compensated) value() float64 { return c.total + c.lost }
