package procedure

import (
	"math/big"

	"gauged/internal/gauge"
)

// mostDecimals writes every step in which a value is kept: a picometre in an inch needs
// more than nine digits, and is never shown alone.
const mostDecimals = 12

// Beside returns how values stand beside limits in unit u. A value that misses a limit is
// never written as if it had reached it: both get the decimals that tell them apart, where
// the usual text is rounded. All others are written as usual.
func (r Limits) Beside(usual func(gauge.Length) string, u gauge.Unit, values ...gauge.Length) func(gauge.Length) string {
	decimals := 0
	for _, v := range values {
		if r.Min != nil && v < *r.Min {
			decimals = max(decimals, telling(usual, u, v, *r.Min))
		}
		if r.Max != nil && v > *r.Max {
			decimals = max(decimals, telling(usual, u, *r.Max, v))
		}
	}
	if decimals == 0 {
		return usual
	}
	return func(l gauge.Length) string {
		if l.Exact(u, decimals) && read(usual(l)).Cmp(read(l.Text(u, decimals))) == 0 {
			return usual(l) // more digits would be zeros
		}
		return l.Text(u, decimals)
	}
}

// BesideWith is Beside with both ends of an interval as the values, where there is one.
func (r Limits) BesideWith(usual func(gauge.Length) string, u gauge.Unit, value gauge.Length, between *Limits) func(gauge.Length) string {
	values := []gauge.Length{value}
	if between != nil {
		for _, end := range []*gauge.Length{between.Min, between.Max} {
			if end != nil {
				values = append(values, *end)
			}
		}
	}
	return r.Beside(usual, u, values...)
}

// telling is how many decimals tell a lesser value from a greater one; 0 where the usual
// text does.
func telling(usual func(gauge.Length) string, u gauge.Unit, less, greater gauge.Length) int {
	if !u.Known() || read(usual(less)).Cmp(read(usual(greater))) < 0 {
		return 0
	}
	n := 1
	for n < mostDecimals && less.Text(u, n) == greater.Text(u, n) {
		n++
	}
	return n
}

// read is the number that a text shows; 0 for none.
func read(text string) *big.Rat {
	if n, ok := new(big.Rat).SetString(text); ok {
		return n
	}
	return new(big.Rat)
}
