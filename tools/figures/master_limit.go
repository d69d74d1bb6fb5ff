package main

import (
	"fmt"
	"math/rand/v2"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

func init() {
	add(subject{
		name: "Master checks: a gauge exactly at its limit",
		about: "A gauge with a maximum permissible error of 4 um is checked; one reading scatters by 1 um (normal). Nothing but the\n" +
			"repeats is known of the scatter where nothing else is said. A point passes or fails at a probability of 95 %, by\n" +
			"Student's t with its effective degrees of freedom. The formula of Welch and Satterthwaite for these is coarse where two\n" +
			"or three readings meet a master and a display that are uncertain too. Equal readings of a coarse display hide their\n" +
			"scatter. Take five, or state the repeatability.",
		run: masterLimitFigures,
	})
}

const micron = 1e6 // picometres

// atLimit checks a gauge at masters whose true errors are given, in micrometres.
type atLimit struct {
	repeats     int
	errors      []float64
	certificate float64 // standard uncertainty of each master, in micrometres
	step        float64 // of the display, in micrometres
	usual       bool    // the scatter is stated, from 21 readings
}

func (a atLimit) check(random *rand.Rand) check.Result {
	limit := gauge.Length(4 * micron)
	in := check.Input{Ability: gauge.Ability{Unit: gauge.Millimetre, Error: &limit}}
	if a.usual {
		in.Ability.Repeats = &gauge.Pooled{Deviation: micron, Freedom: 20}
	}
	if a.step > 0 {
		step := gauge.Length(a.step * micron)
		in.Ability.Resolution = &step
	}
	for i, off := range a.errors {
		p := check.Point{Master: check.Master{ID: fmt.Sprint(i)}}
		if a.certificate > 0 {
			p.Master.Certified = &gauge.Expanded{Uncertainty: gauge.Length(2 * a.certificate * micron), K: gauge.MustLength("2", gauge.One)}
			off += a.certificate * random.NormFloat64()
		}
		off += a.step * random.Float64() // where between two steps the value lies
		for range a.repeats {
			shown := off + random.NormFloat64()
			if a.step > 0 {
				shown = a.step * float64(int64(shown/a.step+1000)-1000)
			}
			p.Readings = append(p.Readings, gauge.Length(shown*micron))
		}
		in.Points = append(in.Points, p)
	}
	return check.Evaluate(in)
}

func masterLimitFigures(quick bool) (rows []row) {
	runs := pick(quick, 4000, 40000)
	seed := uint64(400)
	rate := func(what, promise string, low, high float64, a atLimit, want check.Verdict) {
		seed++
		hits := count(runs, seed, func(random *rand.Rand) bool { return a.check(random).Verdict == want })
		rows = append(rows, row{what, promise, low, high, share(hits, runs), fmt.Sprintf("seed %d", seed)})
	}
	rate("at the limit, 1 reading, the scatter not known: passes", "never", 0, 0, atLimit{repeats: 1, errors: []float64{4}}, check.Pass)
	rate("at the limit, 1 reading, the scatter stated from 21 readings: passes", "5 %", 0.03, 0.055, atLimit{repeats: 1, errors: []float64{4}, usual: true}, check.Pass)
	for _, n := range []int{2, 3, 5, 10} {
		at := atLimit{repeats: n, errors: []float64{4}}
		rate(fmt.Sprintf("at the limit, %d readings: passes", n), "5 % at most", 0, 0.05, at, check.Pass)
		rate(fmt.Sprintf("at the limit, %d readings: fails", n), "5 %", 0.045, 0.055, at, check.Fail)
	}
	for _, c := range []struct {
		repeats int
		promise string
		high    float64
	}{{2, "10 % at most", 0.1}, {3, "7.5 % at most", 0.075}, {5, "6 % at most", 0.06}, {10, "5.5 % at most", 0.055}} {
		at := atLimit{repeats: c.repeats, errors: []float64{4}, certificate: 0.5, step: 1}
		rate(fmt.Sprintf("at the limit, master known to 0.5 um (standard), display in steps of 1 um, %d readings: passes", c.repeats), c.promise, 0, c.high, at, check.Pass)
	}
	rate("3 masters, the gauge at the limit at one and good at two, 5 readings: passes", "5 % at most", 0, 0.05, atLimit{repeats: 5, errors: []float64{4, 0, 1}}, check.Pass)
	rate("3 masters, the gauge at the limit at all, 5 readings: fails", "15 % at most", 0, 0.15, atLimit{repeats: 5, errors: []float64{4, -4, 4}}, check.Fail)
	for _, n := range []int{2, 3, 5, 10} {
		at := atLimit{repeats: n, errors: []float64{0, 1, 1}}
		rate(fmt.Sprintf("3 masters, a good gauge with errors of 0, 1 and 1 um, %d readings: passes (what it costs)", n), "no promise", 0, 1, at, check.Pass)
	}
	return rows
}
