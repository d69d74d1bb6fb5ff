package uncertainty

import "math"

// exp and log are those of the standard library to within 1e-15 relative, and
// alike on every processor, which those of the library are not.

// ln2 in two parts; the high one times any exponent is exact.
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
)

// exp is e to the power of x, for -700 < x < 700; below it is 0.
func exp(x float64) float64 {
	if x < -700 {
		return 0
	}
	k := math.Floor(x/math.Ln2 + 0.5)
	r := x - float64(k*ln2High) - float64(k*ln2Low)
	sum := 1.0
	for n := 14.0; n > 0; n-- { // Horner's rule for the series of r^n / n!
		sum = 1 + float64(sum*r)/n
	}
	return math.Ldexp(sum, int(k))
}

// log is the natural logarithm of x, positive and finite.
func log(x float64) float64 {
	m, e := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m, e = 2*m, e-1
	}
	s := (m - 1) / (m + 1)
	ss := float64(s * s)
	sum := 0.0
	for n := 23.0; n > 0; n -= 2 { // Horner's rule for the series of s^n / n, n odd
		sum = float64(sum*ss) + 1/n
	}
	k := float64(e)
	return float64(k*ln2High) + (float64(k*ln2Low) + float64(2*s*sum))
}
