package main

import (
	"fmt"
	"math/rand/v2"
	"time"

	"gauged/internal/health/jobs"
)

func init() {
	add(subject{
		name: "Errors seen in the work: gauges that wander more than the model",
		about: "A year of a bench of five healthy gauges. It has two jobs a day, of four kinds, and each gauge is checked against a master\n" +
			"every 30 days. A residual scatters by 3 um, a check by 1 um. The model has 0.1 um in a day; the wander is estimated. Without that, three times\n" +
			"the wander raised 0.43 alarms for each gauge and year.",
		run: wanderFigures,
	})
}

// wanderBench is what the jobs of a bench compare.
var wanderBench = [][]jobs.Term{
	{{Gauge: "play", Coefficient: 1, Uses: 3}, {Gauge: "depth-1", Coefficient: -1, Uses: 3}, {Gauge: "thickness", Coefficient: -1, Uses: 1}},
	{{Gauge: "play", Coefficient: 1, Uses: 3}, {Gauge: "depth-1", Coefficient: -1, Uses: 3}, {Gauge: "depth-2", Coefficient: 1, Uses: 3}, {Gauge: "thickness", Coefficient: -1, Uses: 1}},
	{{Gauge: "end-play", Coefficient: 1, Uses: 3}, {Gauge: "depth-1", Coefficient: -1, Uses: 3}, {Gauge: "depth-2", Coefficient: 1, Uses: 3}},
	{{Gauge: "end-play", Coefficient: 1, Uses: 3}, {Gauge: "depth-2", Coefficient: -1, Uses: 3}},
}

// wanderYear is the alarms of a year of a bench whose gauges wander so many times as
// much as the model says.
func wanderYear(random *rand.Rand, times float64) int {
	const um, days = 1e-6, 365
	model := jobs.DefaultModel()
	names := []string{"play", "depth-1", "thickness", "depth-2", "end-play"}
	off, rate := map[string]float64{}, map[string]float64{}
	for _, name := range names {
		off[name], rate[name] = random.NormFloat64()*model.Start, random.NormFloat64()*model.Rate
	}
	var residuals []jobs.Residual
	var anchors []jobs.Anchor
	for day := range days {
		at := firstCheck.AddDate(0, 0, day)
		for i, name := range names {
			off[name] += rate[name] + random.NormFloat64()*model.Wander*times
			rate[name] += random.NormFloat64() * model.RateWander
			if (day+7*i)%30 == 0 {
				anchors = append(anchors, jobs.Anchor{Time: at.Add(7 * time.Hour), Gauge: name, Error: off[name] + random.NormFloat64()*um, Sigma: um})
			}
		}
		for job := range 2 {
			r := jobs.Residual{Time: at.Add(time.Duration(8+4*job) * time.Hour), Terms: wanderBench[random.IntN(len(wanderBench))], Value: random.NormFloat64() * 3 * um, Sigma: 3 * um}
			for _, t := range r.Terms {
				r.Value += t.Coefficient * off[t.Gauge]
			}
			residuals = append(residuals, r)
		}
	}
	site, err := jobs.Estimate(model, residuals, anchors, firstCheck.AddDate(0, 0, days))
	must(err)
	return len(site.Alarms)
}

func wanderFigures(quick bool) (rows []row) {
	const gauges = 5
	for i, times := range []float64{1, 3} {
		runs := pick(quick, 12, 200)
		var alarms []float64
		for _, n := range draws(runs, 231+uint64(i), func(random *rand.Rand) int { return wanderYear(random, times) }) {
			alarms = append(alarms, float64(n)/gauges)
		}
		f := mean(alarms)
		if f.standardError == 0 {
			f.standardError = 1 / float64(runs) / gauges // as if one had been found
		}
		rows = append(rows, row{
			fmt.Sprintf("false alarms for each gauge and year, the gauges wander %g times as much as the model says", times), "at most 0.03", 0, 0.03, f, fmt.Sprint("seed ", 231+i),
		})
	}
	return rows
}
