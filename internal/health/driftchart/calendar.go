package driftchart

import (
	"time"

	"gauged/internal/chart"
	"gauged/internal/health/drift"
)

// mostTicks is how many dates there is room for.
const mostTicks = 5

// calendar are ticks at round dates between two days from a time: every few days, weeks or
// months, as many as there is room for.
func calendar(from time.Time, begin, end float64, day func(time.Time) string) (ticks []chart.Tick) {
	first := drift.Date(from, begin)
	midnight := time.Date(first.Year(), first.Month(), first.Day(), 0, 0, 0, 0, first.Location())
	for _, step := range []struct{ days, months int }{{1, 0}, {2, 0}, {3, 0}, {5, 0}, {7, 0}, {14, 0}, {0, 1}, {0, 3}, {0, 6}, {0, 12}, {0, 24}, {0, 60}, {0, 120}} {
		at := midnight
		if step.months > 0 {
			at = time.Date(first.Year(), 1, 1, 0, 0, 0, 0, first.Location())
		}
		ticks = nil
		for ; len(ticks) <= mostTicks; at = at.AddDate(0, step.months, step.days) {
			x := drift.Days(from, at)
			if x > end {
				break
			}
			if x >= begin {
				ticks = append(ticks, chart.Tick{X: x, Label: day(at)})
			}
		}
		if len(ticks) <= mostTicks {
			break
		}
	}
	if len(ticks) == 0 { // no midnight lies between
		return []chart.Tick{{X: (begin + end) / 2, Label: day(drift.Date(from, (begin+end)/2))}}
	}
	return ticks
}
