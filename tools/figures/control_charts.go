package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"gauged/internal/health/drift"
)

func init() {
	add(subject{
		name: "Control charts: healthy gauges left alone, moved gauges found",
		about: "Checks with a scatter of 1 (normal) about a level that nobody knows, each with five repeats of scatter 2. Pointed at counts\n" +
			"any chart: individuals, CUSUM and the spread within the checks, at any master. Found is the median number of checks from the\n" +
			"one that moved on, without the gauges that were pointed at before. It is told, not promised: no published run length is that of charts\n" +
			"that learn their level as they go. Beside it stands the least that it can be, as if level and scatter were\n" +
			"known. For individuals and CUSUM that is by the Markov chain of Brook and Evans 1972. A test holds that it gets no worse than it was found. With several checks a day, these scatter by 0.2 about the\n" +
			"error of the day.",
		run: chartFigures,
	})
}

// chartPointsAt is the first check that a chart of any of several masters points at in
// the so many checks of a gauge whose error moves by shift after moved checks; 0: none.
func chartPointsAt(random *rand.Rand, masters, checks, moved int, shift, step float64) (first int) {
	settings := drift.ChartSettings{Series: masters, Step: step}
	for range masters {
		w, err := drift.NewWatch(settings)
		must(err)
		spreads := drift.NewSpreadWatch(masters)
		level := 100 * random.Float64()
		for i := range checks {
			if i == moved {
				level += shift
			}
			c := drift.Check{Found: level + random.NormFloat64(), Repeats: 5}
			if step > 0 {
				c.Found = math.Round(c.Found/step) * step
			}
			for range c.Repeats - 1 {
				x := 2 * random.NormFloat64()
				c.Spread += x * x / 4
			}
			c.Spread = math.Sqrt(c.Spread)
			judged, err := spreads.Add(c)
			if len(w.Add(c).Signals) == 0 && (err != nil || !judged.Signal) {
				continue
			}
			if first == 0 || i+1 < first {
				first = i + 1
			}
			break
		}
	}
	return first
}

// rechecksPointedAt says that a chart points at a healthy gauge with so many checks on each
// of 30 days, which differ by 1 from day to day and by 0.2 within the day.
func rechecksPointedAt(random *rand.Rand, each int) bool {
	var checks []drift.Check
	for i := range 30 {
		day := random.NormFloat64()
		for k := range each {
			checks = append(checks, drift.Check{Time: firstCheck.AddDate(0, 0, 30*i).Add(time.Duration(k) * time.Hour), Found: day + 0.2*random.NormFloat64()})
		}
	}
	r, err := drift.NewReview(checks, drift.Options{Quick: true})
	must(err)
	return len(r.Charts.Signals) > 0
}

func chartFigures(quick bool) (rows []row) {
	runs := pick(quick, 300, 8000)
	for i, c := range []struct {
		what    string
		masters int
		step    float64
	}{{"", 1, 0}, {", checked at three masters", 3, 0}, {", on a display of 2 sigma", 1, 2}} {
		pointed := count(runs, 201+uint64(i), func(random *rand.Rand) bool {
			return chartPointsAt(random, c.masters, 30, 0, 0, c.step) > 0
		})
		rows = append(rows, row{"a healthy gauge is pointed at in its first 30 checks" + c.what, "at most 10 %", 0, 0.1, share(pointed, runs), fmt.Sprint("seed ", 201+i)})
	}
	for i, k := range []int{2, 3} {
		runs := pick(quick, 200, 2000)
		pointed := count(runs, 204+uint64(i), func(random *rand.Rand) bool { return rechecksPointedAt(random, k) })
		rows = append(rows, row{
			fmt.Sprintf("a healthy gauge is pointed at on its first 30 days, with %d checks a day", k), "at most 10 %", 0, 0.1, share(pointed, runs), fmt.Sprint("seed ", 204+i),
		})
	}
	// How soon a move is found is told, not promised: nothing published says it of charts that
	// start by themselves. It cannot be sooner than with a level that is known, which is
	// computed; what was found when the limits were set is held, so that it gets no worse.
	known := chain{slack: drift.UsualSlack, height: drift.UsualHeight, single: drift.UsualSingle, cells: 60}
	for i, c := range []struct {
		after       int
		shift, most float64
	}{{10, 1, 40}, {10, 2, 7}, {10, 3, 4}, {20, 1, 15}, {20, 2, 5}, {20, 3, 3}, {40, 1, 11}, {40, 2, 4}, {40, 3, 3}} {
		const patience = 100
		n := pick(quick, 150, 2000)
		took := draws(n, 211+uint64(i), func(random *rand.Rand) int {
			for {
				switch at := chartPointsAt(random, 1, c.after+patience, c.after, c.shift, 0); {
				case at == 0:
					return patience + 1
				case at > c.after:
					return at - c.after
				}
			}
		})
		slices.Sort(took)
		// Half the width of the interval of the median that order statistics give, over two.
		half := int(math.Sqrt(float64(n)))
		median := figure{value: float64(took[n/2]), standardError: float64(took[min(n-1, n/2+half)]-took[n/2-half])/4 + 0.25, runs: n}
		rows = append(rows, row{
			fmt.Sprintf("a gauge that moves by %g sigma after %d checks is found, checks (median)", c.shift, c.after),
			fmt.Sprintf("found, not promised; %d were the level known (Markov chain)", known.median(c.after, c.shift)), float64(known.median(c.after, c.shift)), c.most, median, fmt.Sprint("seed ", 211+i),
		})
	}
	return rows
}
