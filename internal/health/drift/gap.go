package drift

import "slices"

// farLonger is how many times the usual interval one is that is taken for a slip, or for
// time out of use; ours.
const farLonger = 10

// leastGaps is how many intervals say what is usual; ours.
const leastGaps = 4

// usualGap is the median of intervals between checks, in any unit; 0 with too few.
func usualGap(gaps []float64) float64 {
	if len(gaps) < leastGaps {
		return 0
	}
	sorted := slices.Sorted(slices.Values(gaps))
	return sorted[len(sorted)/2]
}

// recentGaps is how many of the last intervals say what is usual now; ours. An interval
// that grows by 1.25 each time stays below twice the median of five.
const recentGaps = 5

// usualNow is the lower median of the last intervals, in any unit; 0 without any.
func usualNow(gaps []float64) float64 {
	gaps = slices.DeleteFunc(slices.Clone(gaps), func(g float64) bool { return g <= 0 })
	if len(gaps) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(gaps[max(0, len(gaps)-recentGaps):]))
	return sorted[(len(sorted)-1)/2]
}

// gapsIn are the days between occasions.
func gapsIn(checks []Check) (gaps []float64) {
	for i := 1; i < len(checks); i++ {
		if gap := Days(checks[i-1].Time, checks[i].Time); gap > OccasionLasts.Hours()/24 {
			gaps = append(gaps, gap)
		}
	}
	return gaps
}

// LongestGap is the longest interval between checks, in days, with the usual one and the
// index of the check that ends it, where it is far longer than usual; else 0.
func LongestGap(checks []Check) (gap, usual float64, at int) {
	usual = usualGap(gapsIn(checks))
	for i := 1; i < len(checks); i++ {
		if d := Days(checks[i-1].Time, checks[i].Time); d > gap {
			gap, at = d, i
		}
	}
	if usual == 0 || gap <= farLonger*usual {
		return 0, 0, 0
	}
	return gap, usual, at
}
