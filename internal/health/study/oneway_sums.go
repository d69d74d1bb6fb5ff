package study

import "gauged/internal/uncertainty"

// oneWay is the analysis of variance of groups.
type oneWay struct {
	between, within, total Term
	size                   float64 // of a group; the equivalent size when they are unequal
	mean                   float64
}

// oneWaySums does the analysis of variance of groups of readings.
func oneWaySums(groups [][]float64, between, within string) oneWay {
	var all []float64
	inside, sizes := 0.0, 0.0
	for _, g := range groups {
		all = append(all, g...)
		inside += squares(g)
		sizes += square(float64(len(g)))
	}
	n, k := float64(len(all)), float64(len(groups))
	a := oneWay{size: (n - sizes/n) / (k - 1)}
	a.mean, _ = uncertainty.MeanStdDev(all)
	outside := 0.0
	for i, m := range means(groups) {
		outside += float64(len(groups[i])) * square(m-a.mean)
	}
	a.between = newTerm(between, outside, k-1)
	a.within = newTerm(within, inside, n-k)
	a.total = newTerm(Total, squares(all), n-1)
	a.between.against(a.within)
	return a
}
