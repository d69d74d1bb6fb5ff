package gauge

import "strings"

// Digits leaves out of what a gauge showed what says nothing and costs room: a plus
// and zeros before the number. The digits of the number stay as many as were shown.
// What is no length may be a mark, which is as it is.
func Digits(shown string, u Unit) string {
	if u.Kind() != KindLength {
		return shown
	}
	sign, digits := "", strings.TrimPrefix(strings.TrimSpace(shown), "+")
	if rest, minus := strings.CutPrefix(digits, "-"); minus {
		sign, digits = "-", rest
	}
	for len(digits) > 1 && digits[0] == '0' && digits[1] >= '0' && digits[1] <= '9' {
		digits = digits[1:]
	}
	return sign + digits
}

// Quantity is what the reading showed with its unit, for people; Shown is the raw text.
func (r Reading) Quantity() string { return r.Unit.Quantity(Digits(r.Shown, r.Unit)) }
