package evaluate

import (
	"strings"

	"gauged/internal/gauge"
)

// What stands in a line of arithmetic beside the names and numbers of the shop.
const (
	times              = " * "
	factorCosine       = "cosine of the angle"
	factorMisalignment = "mean factor of the misalignment"
	factorWarmth       = "factor to 20 degC"
	middleOf           = "the middle of what is stated of "
)

var factors = map[string]string{factorCosine: "worked.cosine", factorMisalignment: "worked.misalignment", factorWarmth: "worked.warmth"}

// Expressed says what a line of arithmetic computes; a formula of the shop stays as it is.
func Expressed(expression string) gauge.Message {
	if part, ok := strings.CutPrefix(expression, middleOf); ok {
		return gauge.Say("worked.middle", gauge.Text("part", part))
	}
	if at := strings.LastIndex(expression, times); at >= 0 {
		if key, ok := factors[expression[at+len(times):]]; ok {
			return gauge.Say("worked.times", gauge.Nested("value", Expressed(expression[:at])), gauge.Word("factor", key))
		}
	}
	return gauge.Plain(expression)
}
