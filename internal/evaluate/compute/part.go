package compute

import "math/big"

// Part is the part of a place as it counts in sums.
type Part struct {
	Place     string
	Thickness *big.Rat // as measured, else the middle of what is stated, added up
	Pieces    Pieces   // of what is only stated; none for a part that was measured or made to size
	Called    []string // each of them, among what may be off
	With      string   // the instrument with which it was measured
}

// EachStated goes through the pieces of which a tolerance is stated.
func (in Part) EachStated(do func(called string, half *big.Rat)) {
	for i, g := range in.Pieces {
		if _, half := g.Stated(); half.Sign() > 0 {
			do(in.Called[i], half)
		}
	}
}
