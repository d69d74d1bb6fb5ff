package main

import (
	"math"
	"math/rand/v2"
	"time"

	"gauged/internal/health/drift"
)

func init() {
	add(subject{
		name:  "Drift: the rate, the date of the limit, the next check",
		about: "20 monthly checks with a scatter of 1 (normal), a rate of 0.5 per month, a limit of 14. The interval of the date is\nthat of `gaugectl drift`, the band is that from which an interval is advised.",
		run:   trendFigures,
	})
}

var firstCheck = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// monthly are n checks, a month of 30 days apart, that move by rate from one to
// the next.
func monthly(random *rand.Rand, n int, rate float64) []drift.Check {
	checks := make([]drift.Check, n)
	for i := range checks {
		checks[i] = drift.Check{Time: firstCheck.AddDate(0, 0, 30*i), Found: rate*float64(i) + random.NormFloat64()}
	}
	return checks
}

func trendFigures(quick bool) []row {
	const rate, mpe, month, t = 0.5, 14.0, 30, 2.1009 // Student's 97.5 % for 18 degrees of freedom
	const reached = mpe / rate * month
	runs := pick(quick, 2000, 20000)
	line := func(random *rand.Rand, rate float64) (drift.History, drift.Line) {
		var h drift.History
		for _, c := range monthly(random, 20, rate) {
			must(h.Add(c))
		}
		l, err := h.ByTime.Line()
		must(err)
		return h, l
	}
	date := count(runs, 101, func(random *rand.Rand) bool {
		h, l := line(random, rate)
		r := l.Reaches(mpe, drift.Days(h.Origin, h.Last.Time), drift.Confidence)
		return r.Significant && r.Early <= reached && reached <= r.Late
	})
	band := count(runs, 102, func(random *rand.Rand) bool {
		_, l := line(random, rate)
		value, u := l.Next(reached)
		return math.Abs(mpe+random.NormFloat64()-value) <= t*u
	})
	alarms := count(runs, 103, func(random *rand.Rand) bool {
		_, l := line(random, 0)
		return l.Significant(drift.Confidence)
	})
	return []row{
		{"the interval of the date of the limit holds the true date", "95 %", 0.945, 0.955, share(date, runs), "seed 101"},
		{"one further check lies in the band", "95 %", 0.945, 0.955, share(band, runs), "seed 102"},
		{"a gauge that does not drift is said to drift", "5 %", 0.045, 0.055, share(alarms, runs), "seed 103"},
	}
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}
