package uncertainty

import (
	"math"
)

// MeanStdDevFactor returns c4, the mean of the standard deviation of n normal
// values whose true standard deviation is 1 (NIST/SEMATECH e-Handbook of
// Statistical Methods, 6.3.2); n is 2 or more.
func MeanStdDevFactor(n int) float64 {
	upper, _ := math.Lgamma(float64(n) / 2)
	lower, _ := math.Lgamma(float64(n-1) / 2)
	return math.Sqrt(2/float64(n-1)) * math.Exp(upper-lower)
}
