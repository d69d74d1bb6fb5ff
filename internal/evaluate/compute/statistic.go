package compute

import (
	"slices"

	"gauged/internal/evaluate/procedure"
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

// Taken is what enters the chain.
func Taken(s procedure.Step, readings []gauge.Length) gauge.Length {
	if s.Take == procedure.TakeTruncated {
		if mean, ok := truncatedMean(readings, s.Drop); ok {
			return mean
		}
	}
	return Statistic(s.Take, readings)
}

// Statistic computes the statistic of one or more readings. A mean is rounded once to
// a picometre, half to even.
func Statistic(t procedure.Take, readings []gauge.Length) gauge.Length {
	switch t {
	case procedure.TakeSmallest:
		return slices.Min(readings)
	case procedure.TakeLargest:
		return slices.Max(readings)
	case procedure.TakeRange:
		return slices.Max(readings) - slices.Min(readings)
	case procedure.TakeMedian:
		sorted := slices.Sorted(slices.Values(readings))
		half := len(sorted) / 2
		if len(sorted)%2 == 1 {
			return sorted[half]
		}
		return gauge.Mean(sorted[half-1 : half+1]...)
	default:
		return gauge.Mean(readings...)
	}
}

// InStep converts what is known of a gauge to a step's unit; lengths need no
// change.
func InStep(l gauge.Length, from, to gauge.Unit) gauge.Length {
	return procedure.Reading{Value: l, Unit: from}.In(to).Value
}
