package recall

import (
	"math/big"

	"gauged/internal/gauge"
)

// Share is the part of a length that a part has of a whole, rounded once to
// a picometre, half to even. The whole is above 0.
func Share(l gauge.Length, part, whole int64) gauge.Length {
	product := new(big.Int).Mul(big.NewInt(int64(l)), big.NewInt(part))
	quotient, rest := new(big.Int).DivMod(product, big.NewInt(whole), new(big.Int)) // rest is not negative
	down := quotient.Int64()
	switch rest.Lsh(rest, 1).Cmp(big.NewInt(whole)) {
	case 1:
		down++
	case 0:
		down += down & 1
	}
	return gauge.Length(down)
}
