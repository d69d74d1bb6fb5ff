package main

import (
	"fmt"
	"math/rand/v2"

	"gauged/internal/study"
)

func init() {
	add(subject{
		name: "Studies: stability",
		about: "24 readings at each master in turn, with a normal scatter. Their own moving ranges make the limits, so that a stable gauge passes them more often than\n" +
			"limits that are known; the trend is tested at 5 % for the gauge, however many masters there are.",
		run: stabilityFigures,
	})
}

func stabilityFigures(quick bool) (rows []row) {
	runs := pick(quick, 400, 8000)
	for i, c := range []struct {
		masters int
		high    float64
	}{{1, 0.12}, {3, 0.22}} {
		seed := uint64(150 + i)
		claim := "a stable gauge is called not stable, %d masters"
		if c.masters == 1 {
			claim = "a stable gauge is called not stable, %d master"
		}
		rows = append(rows, row{
			fmt.Sprintf(claim, c.masters), fmt.Sprintf("at most %.0f %%", 100*c.high), 0, c.high,
			share(count(runs, seed, func(random *rand.Rand) bool { return !stable(random, c.masters) }), runs), fmt.Sprintf("seed %d", seed),
		})
	}
	return rows
}

// stable is what a study says of a stable gauge.
func stable(random *rand.Rand, masters int) bool {
	var cells [][]string
	for range 24 {
		for m := range masters {
			cells = append(cells, []string{fmt.Sprintf("%.6f", random.NormFloat64()), fmt.Sprint(m)})
		}
	}
	table, err := study.NewTable("simulated", []string{"value", "part"}, cells)
	must(err)
	plan := study.Plan{Kind: study.StabilityKind}
	data, err := plan.Read(table, nil)
	must(err)
	s, err := plan.Evaluate(data)
	must(err)
	return s.Headline().Word == study.Stable
}
