package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gauged/internal/health/drift"
)

func init() {
	add(subject{
		name: "Drift: steps, and errors that wander",
		about: "Monthly checks with a scatter of 1 (normal). A step is looked for at every place. The errors that wander are each 0.6 times the\n" +
			"one before and something new. The tests are not made for them. What is found then is told and not promised, with how often the program warns.",
		run: stepFigures,
	})
	add(subject{
		name: "Drift: certificates, occasions, several masters",
		about: "20 monthly checks with a scatter of 1 and an uncertainty that is stated. The certificate of the master is off by the same in all of them, drawn\n" +
			"from a normal distribution with its standard uncertainty. The occasions have 2 to 4 checks each, which scatter by 0.2 about the error of the day.",
		run: parted,
	})
}

func stepFigures(quick bool) (rows []row) {
	runs, seed := pick(quick, 400, 10000), uint64(110)
	find := func(checks []drift.Check) drift.Steps {
		s, err := drift.FindStep(checks, 0)
		must(err)
		return s
	}
	rate := func(what, promise string, low, high float64, hit func(random *rand.Rand) bool) {
		seed++
		rows = append(rows, row{what, promise, low, high, share(count(runs, seed, hit), runs), fmt.Sprintf("seed %d", seed)})
	}
	for _, c := range []struct {
		checks int
		rate   float64
	}{{8, 0}, {12, 0.5}, {24, 0}, {24, 0.2}, {24, 2}} {
		rate(fmt.Sprintf("a step is found where there is none: %d checks, rate %g", c.checks, c.rate), "at most 2 %", 0, drift.StepLevel, func(random *rand.Rand) bool {
			return find(monthly(random, c.checks, c.rate)).Step != nil
		})
	}
	for _, c := range []struct{ size, rate, least float64 }{{5, 0.3, 0.90}, {8, 0.3, 0.999}, {8, 0, 0.999}} {
		rate(fmt.Sprintf("a step of %g is found: 20 checks, rate %g", c.size, c.rate), fmt.Sprintf("%g %% or more", 100*c.least), c.least, 1, func(random *rand.Rand) bool {
			checks := monthly(random, 20, c.rate)
			for i := 12; i < len(checks); i++ {
				checks[i].Found += c.size
			}
			return find(checks).Step != nil
		})
	}
	reviewed := func(random *rand.Rand, phi float64) *drift.Review {
		checks := monthly(random, 24, 0)
		for i := 1; i < len(checks); i++ {
			checks[i].Found = phi*checks[i-1].Found + math.Sqrt(1-phi*phi)*checks[i].Found
		}
		r, err := drift.NewReview(checks, drift.Options{Quick: true})
		must(err)
		return r
	}
	rate("independent errors are said to wander: 24 checks", "at most 5 %", 0, 0.05, func(random *rand.Rand) bool { return reviewed(random, 0).Correlation.Alike })
	rate("errors that wander (0.6): a step is found where there is none, 24 checks", "none; about 30 %", 0.2, 0.4, func(random *rand.Rand) bool { return reviewed(random, 0.6).Steps.Step != nil })
	rate("errors that wander (0.6): a step or a rate is claimed without a warning", "none; about one in four", 0.15, 0.3, func(random *rand.Rand) bool {
		r := reviewed(random, 0.6)
		return (r.Steps.Step != nil || r.ByTime.Significant) && !r.Correlation.Alike
	})
	return rows
}

func parted(quick bool) (rows []row) {
	const rate, mpe, month = 0.5, 14.0, 30
	const reached = mpe / rate * month
	runs, seed := pick(quick, 400, 8000), uint64(130)
	shared := func(random *rand.Rand, rate, certificate float64) *drift.Review {
		checks, off := monthly(random, 20, rate), certificate*random.NormFloat64()
		for i := range checks {
			checks[i].Found, checks[i].Uncertainty, checks[i].Shared = checks[i].Found+off, 1, certificate
		}
		r, err := drift.NewReview(checks, drift.Options{MPE: mpe, Quick: true})
		must(err)
		return r
	}
	hit := func(what, promise string, low, high float64, one func(random *rand.Rand) bool) {
		seed++
		rows = append(rows, row{what, promise, low, high, share(count(runs, seed, one), runs), fmt.Sprintf("seed %d", seed)})
	}
	hit("the interval of the date holds the true date; certificate 1, rate known to be there", "95 % or more", 0.95, 1, func(random *rand.Rand) bool {
		for {
			if t := shared(random, rate, 1).ByTime; t.Reach != nil && t.Reach.Significant {
				return t.Reach.Early <= reached && reached <= t.Reach.Late
			}
		}
	})
	hit("the error now, with twice its standard uncertainty, holds the true error; certificate 3", "95 %", 0.945, 0.965, func(random *rand.Rand) bool {
		r := shared(random, rate, 3).ByTime
		return math.Abs(r.Now-rate*19) <= 2*r.NowError
	})
	hit("a rise of eight times the scatter is found; certificate 40", "99 % or more", 0.99, 1, func(random *rand.Rand) bool { return shared(random, 8.0/19, 40).ByTime.Significant })
	several := func(random *rand.Rand, points int) bool {
		var series []drift.Series
		for range points {
			series = append(series, drift.Series{Checks: monthly(random, 20, 0)})
		}
		g, err := drift.NewGauge(series, drift.Options{MPE: 100, Quick: true})
		must(err)
		for _, r := range g.Points {
			if r.ByTime.Significant {
				return true
			}
		}
		return false
	}
	hit("a gauge of 3 masters that does not drift is said to drift at one of them", "at most 17 %: 6 % at each, 1 % of it beside a step", 0, 0.17, func(random *rand.Rand) bool { return several(random, 3) })
	hit("repeats on 10 occasions: a gauge that does not drift is said to drift", "at most 6 %, 1 % of it beside a step", 0, 0.06, func(random *rand.Rand) bool {
		var checks []drift.Check
		for i := range 10 {
			day := random.NormFloat64()
			for k := range 2 + random.IntN(3) {
				checks = append(checks, drift.Check{Time: firstCheck.AddDate(0, 0, month*i).Add(time.Duration(k) * time.Hour), Found: day + 0.2*random.NormFloat64()})
			}
		}
		r, err := drift.NewReview(checks, drift.Options{Quick: true})
		must(err)
		return r.ByTime.Significant
	})
	hit("8 checks on the first and the last of 12 days, uncertainty stated: a gauge that does not drift is said to drift", "at most 6 %, 1 % of it beside a step", 0, 0.06, func(random *rand.Rand) bool {
		var checks []drift.Check
		for i := range 12 {
			day, n := random.NormFloat64(), 1
			if i == 0 || i == 11 {
				n = 8
			}
			for k := range n {
				checks = append(checks, drift.Check{Time: firstCheck.AddDate(0, 0, month*i).Add(time.Duration(k) * time.Hour), Found: day + 0.2*random.NormFloat64(), Uncertainty: 1.02})
			}
		}
		r, err := drift.NewReview(checks, drift.Options{Quick: true})
		must(err)
		return r.ByTime.Significant
	})
	return rows
}
