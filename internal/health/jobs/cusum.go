package jobs

import "math"

// allowance is the part of each score that a cumulative sum gives away: half
// of the change that it finds soonest, in standard deviations.
const allowance = 0.5

// clipScore is the most that one day counts in a cumulative sum, in standard
// deviations: one bad day is no drift.
const clipScore = 3

// cusum is a two-sided cumulative sum of standardised scores (NIST/SEMATECH
// e-Handbook of Statistical Methods, 6.3.2.3).
type cusum struct{ high, low float64 }

func (c *cusum) add(z float64) {
	c.high = max(0, c.high+z-allowance)
	c.low = max(0, c.low-z-allowance)
}

func (c *cusum) worst() float64 { return max(c.high, c.low) }

// cusumLimit is the limit that a two-sided cumulative sum of independent
// standard normal scores passes once in so many scores on average. The run
// length is Siegmund's approximation for zero start, (exp 2ab - 2ab - 1) / 2a^2
// for one side, a the allowance and b the limit plus 1.166 (Siegmund,
// "Sequential Analysis", 1985, from memory).
func cusumLimit(runLength float64) float64 {
	low, high := 0.0, 100.0
	for range 60 {
		middle := (low + high) / 2
		if b := middle + 1.166; (math.Exp(2*allowance*b)-2*allowance*b-1)/(2*allowance*allowance)/2 < runLength {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}
