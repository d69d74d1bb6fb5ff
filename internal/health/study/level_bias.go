package study

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// biasesOf returns, by gauge and run, the differences of each check standard
// from the mean of all gauges. When a gauge did not measure all of them there
// are none, and missing says so.
func biasesOf(sets map[setKey][]day, gauges, parts, runs []string) (biases map[string]map[string][]float64, missing gauge.Message) {
	if len(gauges) < 2 {
		return nil, gauge.Message{}
	}
	biases = map[string]map[string][]float64{}
	for _, g := range gauges {
		biases[g] = map[string][]float64{}
	}
	for _, run := range runs {
		for _, part := range parts {
			var of []float64
			for _, g := range gauges {
				days := sets[setKey{g, part, run}]
				if len(days) == 0 {
					return nil, gauge.Say("noted.gauge_missed", gauge.Text("gauge", g), gauge.Text("part", part), gauge.Text("run", run))
				}
				mean, _ := uncertainty.MeanStdDev(dayMeans(days))
				of = append(of, mean)
			}
			all, _ := uncertainty.MeanStdDev(of)
			for i, g := range gauges {
				biases[g][run] = append(biases[g][run], of[i]-all)
			}
		}
	}
	return biases, gauge.Message{}
}

// addBias fills in the bias from the differences by run.
func (l *GaugeLevels) addBias(byRun map[string][]float64, o Options) {
	var all []float64
	for i := range l.Runs {
		of := byRun[l.Runs[i].Run]
		if len(of) == 0 {
			return
		}
		mean, _ := uncertainty.MeanStdDev(of)
		l.Runs[i].Bias = &mean
		all = append(all, of...)
	}
	mean, sd := uncertainty.MeanStdDev(all)
	if len(all) < 2 || !(sd > 0) {
		return
	}
	n := float64(len(all))
	half := coverage(o.Confidence, n-1) * sd / math.Sqrt(n)
	l.Bias = &GaugeBias{
		Mean: mean, Deviation: sd, Count: len(all), Error: sd / math.Sqrt(n),
		Interval: Interval{Low: mean - half, High: mean + half}, Test: newTTest(mean, sd/math.Sqrt(n), n-1),
	}
}
