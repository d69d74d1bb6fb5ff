package drift

import (
	"math"

	"gauged/internal/uncertainty"
)

// Correlation says whether neighbouring residuals are alike. Intervals, dates and
// steps are for checks whose scatter is independent; where it wanders, they promise
// too much.
type Correlation struct {
	Lag1  float64 `json:"lag1"`  // autocorrelation of the residuals about the trend
	Limit float64 `json:"limit"` // that independent errors exceed in at most 5 of 100 histories
	Alike bool    `json:"alike"`
}

// leastCorrelated is the number of occasions from which the autocorrelation is
// judged; ours.
const leastCorrelated = 8

// correlationOf is that of the residuals about the common slope, each piece with
// its own level (NIST/SEMATECH e-Handbook, 1.3.5.12, for the coefficient; products
// over the end of a piece are left out). nil with too few.
func correlationOf(runs [][]point, rate float64) *Correlation {
	n, residuals := 0, make([][]float64, len(runs))
	for i, run := range runs {
		residuals[i] = residualsOf(run, rate)
		n += len(run)
	}
	lag1 := uncertainty.Lag1(residuals...)
	if n < leastCorrelated || math.IsNaN(lag1) {
		return nil
	}
	c := &Correlation{Lag1: lag1, Limit: correlationLimit(n, len(runs))}
	c.Alike = c.Lag1 > c.Limit
	return c
}

// residualsOf are those of a piece, each divided by its uncertainty where the points
// are weighted.
func residualsOf(run []point, rate float64) []float64 {
	x, y, weight := 0.0, 0.0, 0.0
	for _, p := range run {
		weight += p.weight
		x += p.weight * (p.x - run[0].x)
		y += p.weight * (p.y - run[0].y)
	}
	residuals := make([]float64, len(run))
	for i, p := range run {
		residuals[i] = math.Sqrt(p.weight) * ((p.y - run[0].y - y/weight) - rate*(p.x-run[0].x-x/weight))
	}
	return residuals
}

// correlationLimit is the upper 95 % limit for n independent errors: of each level
// and of the slope the residuals keep about -1/n, and their variance is that of n - 2
// products of n squares. How often it is exceeded is simulated in docs/figures.md.
func correlationLimit(n, pieces int) float64 {
	m := float64(n)
	return (-float64(pieces+1) + 1.645*math.Sqrt(m-2)) / m
}

// brokenRuns are the pieces, with a step before the check of the number taken for a
// change of level; 0: none.
func brokenRuns(checks []Check, before int) (runs [][]point) {
	for _, run := range runsOf(checks) {
		for i, p := range run {
			if p.check == before && i > 0 {
				runs = append(runs, run[:i])
				run = run[i:]
				break
			}
		}
		runs = append(runs, run)
	}
	return runs
}
