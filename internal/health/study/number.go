package study

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Number writes a figure with five digits, without an exponent where people
// read it without.
func Number(x float64) string { return significant(x, 5) }

func significant(x float64, n int) string {
	if x == 0 {
		return "0"
	}
	if a := math.Abs(x); a <= 1e-9 || a >= 1e9 {
		return strconv.FormatFloat(x, 'g', n, 64)
	}
	decimals := max(0, n-1-int(math.Floor(math.Log10(math.Abs(x)))))
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// leastP is the smallest P of a test that is written with its digits.
const leastP = 0.0001

// Probability writes the P of a test.
func Probability(p float64) string {
	if p < leastP {
		return "< 0.0001"
	}
	return fmt.Sprintf("%.4f", p)
}
