package formula

import "math/big"

// nineDecimals is how finely a correction by a cosine is taken.
var nineDecimals = big.NewRat(1, 1_000_000_000)

// Cosine of an angle in degrees, to nine decimals, half to even.
func Cosine(degrees *big.Rat) *big.Rat { return MeanCosine(degrees, nil) }

// MeanCosine is the mean of the cosine over all angles that are within the
// tolerance: that of the angle times sin(t)/t, t in radians.
func MeanCosine(degrees, tolerance *big.Rat) *big.Rat {
	_, c := sines(degrees)
	mean := new(big.Rat).SetFrac(c, circle)
	if tolerance != nil && tolerance.Sign() > 0 {
		s, _ := sines(tolerance)
		radians := new(big.Rat).Mul(tolerance, pi)
		mean.Mul(mean, new(big.Rat).SetFrac(s, circle)).Quo(mean, radians.Quo(radians, big.NewRat(180, 1)))
	}
	return Round(toEven, mean, nineDecimals)
}
