package evaluate

import (
	"fmt"
	"math/big"

	"gauged/internal/gauge"
)

// slippedBy are the factors between what is wanted and what a family has when a
// unit or a decimal point is wrong in one of them: most likely first.
var slippedBy = []struct {
	factor *big.Rat
	times  string
	look   string
}{
	{big.NewRat(254, 10), "25.4 times as thick", "in another unit"},
	{big.NewRat(10, 254), "25.4 times thinner", "in another unit"},
	{big.NewRat(10, 1), "ten times as thick", "with the decimal point in another place"},
	{big.NewRat(1, 10), "ten times thinner", "with the decimal point in another place"},
	{big.NewRat(1000, 1), "a thousand times as thick", "in another unit"},
	{big.NewRat(1, 1000), "a thousand times thinner", "in another unit"},
}

// slipped says which part of a family of which nothing fits would do if it were so
// many times as thick, which points at a unit or a decimal point that is wrong in
// the family or in a reading; it is empty when none would.
func (w *fitting) slipped() string {
	for _, by := range slippedBy {
		for _, g := range w.family.Grades {
			if g.Thickness == nil {
				continue
			}
			meant, err := gauge.RoundRat(new(big.Rat).Mul(by.factor, new(big.Rat).SetInt64(int64(*g.Thickness))))
			if err == nil && w.inWindow(meant) {
				return fmt.Sprintf("; %s would fit if it were %s (%s): look whether the numbers of family %s (%s) or a reading stand %s", w.P.ShowGrade(g), w.P.Show(meant), by.times, w.family.ID, w.family.Unit, by.look)
			}
		}
	}
	return ""
}
