package app

import (
	"strconv"
	"strings"

	"gauged/internal/gauge"
)

// Size reads the text of a flag that is a length above 0, such as 8um; one without a
// unit is of the unknown unit.
func Size(flag, text string) (x float64, unit gauge.Unit, err error) {
	text = strings.TrimSpace(text)
	digits, symbol := SplitUnit(strings.Join(strings.Fields(text), " "))
	if x, err = strconv.ParseFloat(digits, 64); err != nil || !(x > 0) || x > Largest {
		return 0, unit, Usagef("--%s %q is not a length above 0: write it as 8um or 0.008mm; without a unit it is in that of the values", flag, text)
	}
	if symbol != "" {
		if unit, err = gauge.ParseUnit(symbol, gauge.KindLength); err != nil {
			return 0, unit, Usagef("--%s: %w", flag, err)
		}
	}
	return x, unit, nil
}

// ExactSize reads the text of a flag that is a length with its unit, or in u where it has
// none: its digits, its unit and its exact value.
func ExactSize(flag, text string, u gauge.Unit) (digits string, unit gauge.Unit, l gauge.Length, err error) {
	digits, symbol := SplitUnit(strings.Join(strings.Fields(text), " "))
	switch unit = u; {
	case symbol != "":
		unit, err = gauge.ParseUnit(symbol, gauge.KindLength)
	case !u.Known():
		return "", u, 0, Usagef("--%s %s has no unit: write it as %smm, %sin or %sum", flag, text, digits, digits, digits)
	}
	if err == nil {
		l, err = gauge.ParseLength(digits, unit)
	}
	if err != nil {
		return "", unit, 0, Usagef("--%s: %w", flag, err)
	}
	return digits, unit, l, nil
}

// Converted is a length in another unit.
func Converted(x float64, from, to gauge.Unit) float64 {
	if from == to {
		return x
	}
	return x * float64(from.Size()) / float64(to.Size())
}
