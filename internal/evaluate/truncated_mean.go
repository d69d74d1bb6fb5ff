package evaluate

import (
	"slices"

	"gauged/internal/gauge"
)

// truncatedMean is the mean of the readings without the k smallest and the k
// largest, exact and rounded once to a picometre, half to even. It is false
// when no reading is left, and for a negative k.
func truncatedMean(readings []gauge.Length, k int) (gauge.Length, bool) {
	if k < 0 || k > (len(readings)-1)/2 || len(readings) == 0 {
		return 0, false
	}
	sorted := slices.Sorted(slices.Values(readings))
	return gauge.Mean(sorted[k : len(sorted)-k]...), true
}
