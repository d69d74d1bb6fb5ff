package evaluate

import (
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
	{big.NewRat(254, 10), "slip.25_thicker", "slip.unit"},
	{big.NewRat(10, 254), "slip.25_thinner", "slip.unit"},
	{big.NewRat(10, 1), "slip.10_thicker", "slip.point"},
	{big.NewRat(1, 10), "slip.10_thinner", "slip.point"},
	{big.NewRat(1000, 1), "slip.1000_thicker", "slip.unit"},
	{big.NewRat(1, 1000), "slip.1000_thinner", "slip.unit"},
}

// slipped says which part of a family of which nothing fits would do if it were so
// many times as thick, which points at a unit or a decimal point that is wrong in
// the family or in a reading, if one would.
func (w *fitting) slipped() gauge.Message {
	for _, by := range slippedBy {
		for _, g := range w.family.Grades {
			if g.Thickness == nil {
				continue
			}
			meant, err := gauge.RoundRat(new(big.Rat).Mul(by.factor, new(big.Rat).SetInt64(int64(*g.Thickness))))
			if err == nil && w.inWindow(meant) {
				return gauge.Say("hint.slipped", w.P.TellGrade("grade", g), w.P.Tell("meant", meant), gauge.Word("times", by.times), gauge.Text("family", w.family.ID), gauge.Text("unit", w.family.Unit.String()), gauge.Word("look", by.look))
			}
		}
	}
	return gauge.Message{}
}
