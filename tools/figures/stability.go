package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gauged/internal/health/study"
)

func init() {
	add(subject{
		name: "Studies: stability",
		about: "24 readings at each master in turn, with a normal scatter. The promise is what the tests are set to. The trend is at 5 % for the gauge,\n" +
			"however many masters there are. The limits are such that one of 370 readings of a stable gauge passes them. Together that is 1 - 0.95 (1 - 1/370)^(24 masters).",
		run: stabilityFigures,
	})
}

func stabilityFigures(quick bool) (rows []row) {
	runs := pick(quick, 400, 8000)
	for i, masters := range []int{1, 3} {
		high := 1 - 0.95*math.Pow(1-1/370.0, 24*float64(masters))
		seed := uint64(150 + i)
		claim := "a stable gauge is called not stable, %d masters"
		if masters == 1 {
			claim = "a stable gauge is called not stable, %d master"
		}
		rows = append(rows, row{
			fmt.Sprintf(claim, masters), fmt.Sprintf("at most %.1f %%", 100*high), 0, high,
			share(count(runs, seed, func(random *rand.Rand) bool { return !stable(random, masters) }), runs), fmt.Sprintf("seed %d", seed),
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
