package uncertainty

import (
	"math"
	"strconv"
	"strings"
)

// TwoDigits writes an uncertainty, which is over 0, with two digits, and a value with as many
// decimals as it has (JCGM 100, 7.2.6).
func TwoDigits(value, u float64) (written, around string) {
	decimals := 1 - int(math.Floor(math.Log10(u)))
	if u >= 0.995*math.Pow(10, float64(2-decimals)) { // rounds up to one more digit, such as 0.0996 to 0.10
		decimals--
	}
	if decimals < 0 {
		unit := math.Pow(10, float64(-decimals))
		value, u, decimals = math.Round(value/unit)*unit, math.Round(u/unit)*unit, 0
	}
	written = strconv.FormatFloat(value, 'f', decimals, 64)
	if strings.Trim(written, "-0.") == "" {
		written = strings.TrimPrefix(written, "-")
	}
	return written, strconv.FormatFloat(u, 'f', decimals, 64)
}
