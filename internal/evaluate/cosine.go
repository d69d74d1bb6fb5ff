package evaluate

import (
	"math/big"

	"gauged/internal/gauge"
)

// nineDecimals is how finely a cosine is taken.
const nineDecimals = 1_000_000_000

// pi to 30 decimals.
var pi, _ = new(big.Rat).SetString("3.141592653589793238462643383280")

// cosine of an angle from 0 to 60 degrees, to nine decimals, half to even: the
// Taylor series in exact arithmetic, whose rest after 16 terms is below 1e-30.
func cosine(degrees *big.Rat) *big.Rat { return meanCosine(degrees, nil) }

// meanCosine is the mean of the cosine over all angles that are within the
// tolerance: that of the angle times sin(t)/t.
func meanCosine(degrees, tolerance *big.Rat) *big.Rat {
	mean := series(degrees, 0)
	if tolerance != nil {
		mean.Mul(mean, series(tolerance, 1))
	}
	rounded, _ := gauge.RoundRat(mean.Mul(mean, new(big.Rat).SetInt64(nineDecimals))) // at most 1e9
	return new(big.Rat).SetFrac64(int64(rounded), nineDecimals)
}

// series is the cosine, or with odd 1 the sine divided by the angle.
func series(degrees *big.Rat, odd int64) *big.Rat {
	x := new(big.Rat).Mul(degrees, pi)
	x.Quo(x, big.NewRat(180, 1))
	square := new(big.Rat).Mul(x, x)
	term, sum := big.NewRat(1, 1), big.NewRat(1, 1)
	for k := int64(1); k <= 16; k++ {
		term.Mul(term, square)
		term.Quo(term, big.NewRat(-(2*k-1+odd)*(2*k+odd), 1))
		sum.Add(sum, term)
	}
	return sum
}
