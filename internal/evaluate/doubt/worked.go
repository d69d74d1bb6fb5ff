package doubt

import (
	"strings"

	"gauged/internal/gauge"
)

// What stands in a line of arithmetic beside the names and numbers of the shop.
const (
	Times              = " * "
	FactorCosine       = "cosine of the angle"
	FactorMisalignment = "mean factor of the misalignment"
	FactorWarmth       = "factor to 20 degC"
	MiddleOf           = "the middle of what is stated of "
)

var factors = map[string]string{FactorCosine: "worked.cosine", FactorMisalignment: "worked.misalignment", FactorWarmth: "worked.warmth"}

// Expressed says what a line of arithmetic computes; a formula of the shop stays as it is.
func Expressed(expression string) gauge.Message {
	if part, ok := strings.CutPrefix(expression, MiddleOf); ok {
		return gauge.Say("worked.middle", gauge.Text("part", part))
	}
	if at := strings.LastIndex(expression, Times); at >= 0 {
		if key, ok := factors[expression[at+len(Times):]]; ok {
			return gauge.Say("worked.times", gauge.Nested("value", Expressed(expression[:at])), gauge.Word("factor", key))
		}
	}
	return gauge.Plain(expression)
}
