package main

import (
	"fmt"
	"math/rand/v2"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/uncertainty"
)

func init() {
	add(subject{
		name: "Usual scatter: what readings show against what is stated",
		about: "A repeatability of 1 um is stated, from 30 readings. Readings that scatter more than it lets them (F test at 1 %) count\n" +
			"themselves, and so do five or more. A gauge exactly at its limit that scatters six times as much as is stated passes a\n" +
			"check by chance. Two or three readings tell little of their own scatter, and it passes the more often. One usual scatter\n" +
			"in four lengths is one number: from 3 readings it has 2 degrees of freedom in their sum too.",
		run: usualFigures,
	})
}

// sticking checks a gauge at its limit of 4 um, which scatters six times as much as the
// 1 um that is stated.
func sticking(random *rand.Rand, repeats int) check.Verdict {
	limit, step := gauge.Length(4*micron), gauge.Length(0.1*micron)
	in := check.Input{Ability: gauge.Ability{Unit: gauge.Millimetre, Error: &limit, Resolution: &step, Repeats: &gauge.Pooled{Deviation: micron, Freedom: 29}}}
	p := check.Point{Master: check.Master{ID: "m"}}
	for range repeats {
		p.Readings = append(p.Readings, gauge.Length((4+6*random.NormFloat64())*micron))
	}
	in.Points = []check.Point{p}
	return check.Evaluate(in).Verdict
}

// called counts repeats of the usual scatter that are said to scatter more; the
// readings are rounded to step.
func called(runs, repeats int, seed uint64, step float64) int {
	return count(runs, seed, func(random *rand.Rand) bool {
		var before []float64
		for range 30 {
			before = append(before, random.NormFloat64())
		}
		off, repeated := random.Float64(), make([]float64, repeats)
		for i := range repeated {
			repeated[i] = off + random.NormFloat64()
			if step > 0 {
				repeated[i] = step * float64(int64(repeated[i]/step+1000))
			}
		}
		_, more := uncertainty.ScatterOf(before).Counts(repeated, step)
		return more
	})
}

const fourLengths = `procedure: p
title: t
unit: mm
instruments: {one: {error: 0.0000001, repeatability: {deviation: %s, readings: 3}}}
measure: {a: {title: a, instrument: one}, b: {title: b, instrument: one}, c: {title: c, instrument: one}, d: {title: d, instrument: one}}
gap: a + b + c + d
allow: {result: {min: 0}}
`

// fourCovered draws a usual scatter from three readings of a true 5 um, and says
// whether the interval of a sum of four single readings holds the true one.
func fourCovered(random *rand.Rand) bool {
	scatter := uncertainty.ScatterOf([]float64{5 * random.NormFloat64(), 5 * random.NormFloat64(), 5 * random.NormFloat64()})
	b := bench{
		text: fmt.Sprintf(fourLengths, fmt.Sprintf("%.9f", max(scatter.SD, 1e-4)/1000)), inputs: []string{"a", "b", "c", "d"},
		truth: func(x []float64) float64 { return x[0] + x[1] + x[2] + x[3] },
		draw: func(r *rand.Rand) (x, e []float64) {
			x, e = make([]float64, 4), make([]float64, 4)
			for i := range x {
				x[i], e[i] = 10_000, 5*r.NormFloat64()
			}
			return x, e
		},
	}
	return b.covered(b.procedure(), random)
}

func usualFigures(quick bool) (rows []row) {
	runs := pick(quick, 4000, 40_000)
	for i, c := range []struct {
		repeats int
		promise string
		high    float64
	}{{2, "13 % at most", 0.13}, {3, "6 % at most", 0.06}, {4, "5.5 % at most", 0.055}, {5, "5.5 % at most", 0.055}, {10, "5.5 % at most", 0.055}} {
		seed := uint64(1300 + i)
		hits := count(runs, seed, func(r *rand.Rand) bool { return sticking(r, c.repeats) == check.Pass })
		rows = append(rows, row{fmt.Sprintf("at the limit, six times the stated scatter, %d readings: passes", c.repeats), c.promise, 0, c.high, share(hits, runs), fmt.Sprintf("seed %d", seed)})
	}
	for i, n := range []int{2, 4, 10} {
		seed := uint64(1310 + i)
		rows = append(rows, row{
			fmt.Sprintf("%d readings that scatter as usual are said to scatter more", n), "1 %", 0.007, 0.013,
			share(called(runs, n, seed, 0), runs), fmt.Sprintf("seed %d", seed),
		})
	}
	rows = append(rows, row{
		"10 readings that scatter as usual, shown in steps of three times the scatter, are said to scatter more", "1 % at most", 0, 0.01,
		share(called(runs, 10, 1320, 3), runs), "seed 1320",
	})
	drawn := pick(quick, 1000, 10_000)
	return append(rows, row{
		"covered: a sum of four single readings, their usual scatter known from 3", "95 %", 0.94, 0.96,
		share(count(drawn, 1330, fourCovered), drawn), "seed 1330",
	})
}
