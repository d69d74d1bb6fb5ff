package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/vet"
)

func init() {
	add(subject{
		name: "Jobs: what a budget promises",
		about: "Readings are drawn around true values that are even over a wide range: around the limit, or the bend of a formula. They have\n" +
			"the errors that the procedure states, and are evaluated as those of a job. One gauge has one error in all its readings. Covered\n" +
			"means that the true result is in the 95 % interval: that of the budget, or of the Monte Carlo run where it decides.\n" +
			"Counted as independent in both lengths, the error of the one gauge would leave 83 % of the sums covered.",
		run: coverageFigures,
	})
}

// bench is a procedure with true values and errors to draw.
type bench struct {
	text   string
	inputs []string                            // measurements
	truth  func(x []float64) float64           // the true result, in micrometres
	draw   func(r *rand.Rand) (x, e []float64) // true values and errors of their readings, in micrometres
}

const coverageHead = `procedure: p
title: t
unit: mm
instruments: {one: %s, two: {calibration: {uncertainty: 0.012, k: 2}}}
measure:
  a: {title: a, instrument: one%s}
  b: {title: b, instrument: %s}
gap: %s
allow: {result: {%s}}
`

func even(r *rand.Rand, halfWidth float64) float64 { return halfWidth * (2*r.Float64() - 1) }

// covered evaluates one draw.
func (b bench) covered(p *procedure.Procedure, r *rand.Rand) bool {
	e, truth := b.evaluated(p, r)
	budget := e.Budgets[0]
	low, high := -budget.Expanded, budget.Expanded
	if s := budget.Simulated; s != nil && s.Counts {
		low, high = s.Low, s.High
	}
	off := gauge.Length(math.Round(truth*1e6)) - *e.Gap
	return low <= off && off <= high
}

func (b bench) evaluated(p *procedure.Procedure, r *rand.Rand) (evaluate.Evaluation, float64) {
	x, errs := b.draw(r)
	var in compute.Input
	for i, name := range b.inputs {
		in.Readings = append(in.Readings, procedure.Reading{
			Measurement: name, Value: gauge.Length(math.Round((x[i] + errs[i]) * 1e6)), Shown: "-", Unit: gauge.Millimetre,
		})
	}
	e, err := evaluate.Evaluate(p, nil, in)
	must(err)
	return e, b.truth(x)
}

func (b bench) procedure() *procedure.Procedure {
	p, err := vet.ReadProcedure("p.yaml", []byte(b.text))
	must(err)
	return p
}

func coverageFigures(quick bool) []row {
	head := func(ability, step, second, formula, limits string) string {
		return fmt.Sprintf(coverageHead, ability, step, second, formula, limits)
	}
	ab := []string{"a", "b"}
	deep := func(r *rand.Rand) []float64 { return []float64{40_000 + even(r, 5000), 30_000 + even(r, 5000)} }
	const certificate = "{calibration: {uncertainty: 0.012, k: 2}}" // a standard uncertainty of 6 um
	one := bench{
		text: head(certificate, "", "one", "a + b", "min: 0"), inputs: ab, truth: func(x []float64) float64 { return x[0] + x[1] },
		draw: func(r *rand.Rand) ([]float64, []float64) {
			e := 6 * r.NormFloat64()
			return []float64{40_000 + even(r, 30), 30_000}, []float64{e, e}
		},
	}
	varying := bench{
		text: head("{error: 0.010, varies: 0.004}", "", "one", "a - b", "min: 0"), inputs: ab, truth: func(x []float64) float64 { return x[0] - x[1] },
		draw: func(r *rand.Rand) ([]float64, []float64) {
			e := even(r, math.Sqrt(100-16))
			return deep(r), []float64{e + even(r, 4), e + even(r, 4)}
		},
	}
	leaning := bench{
		text: head("{error: 0.001}", ", misaligned: 2", "two", "a + 0*b", "min: 0"), inputs: ab, truth: func(x []float64) float64 { return x[0] },
		draw: func(r *rand.Rand) ([]float64, []float64) {
			x := deep(r)
			lean := 2 * math.Pi / 180 * math.Sqrt(r.Float64()) // even over the cone
			return x, []float64{x[0]/math.Cos(lean) - x[0] + even(r, 1), 6 * r.NormFloat64()}
		},
	}
	larger := bench{
		text: head(certificate, "", "two", "largest(a, b)", "min: 0"), inputs: ab, truth: func(x []float64) float64 { return max(x[0], x[1]) },
		draw: func(r *rand.Rand) ([]float64, []float64) {
			return []float64{40_000 + even(r, 20), 40_000}, []float64{6 * r.NormFloat64(), 6 * r.NormFloat64()}
		},
	}
	distance := bench{
		text: head(certificate, "", "two", "sqrt((a - 40)*(a - 40) + (b - 40)*(b - 40))", "min: 0"), inputs: ab,
		truth: func(x []float64) float64 { return math.Hypot(x[0]-40_000, x[1]-40_000) },
		draw: func(r *rand.Rand) ([]float64, []float64) {
			return []float64{40_000 + even(r, 40), 40_000 + even(r, 40)}, []float64{6 * r.NormFloat64(), 6 * r.NormFloat64()}
		},
	}
	share95 := func(what string, b bench, runs int, seed uint64) row {
		p := b.procedure()
		hits := count(runs, seed, func(r *rand.Rand) bool { return b.covered(p, r) })
		return row{what, "95 %", 0.94, 0.96, share(hits, runs), fmt.Sprintf("seed %d", seed)}
	}
	limited := one
	limited.text = head(certificate, "", "one", "a + b", "max: 70.000")
	decided := func(runs int, seed uint64) row {
		p, right, conform := limited.procedure(), 0, 0
		for _, inside := range draws(runs, seed, func(r *rand.Rand) *bool {
			e, truth := limited.evaluated(p, r)
			if e.Outcome != evaluate.Conforms {
				return nil
			}
			inside := truth <= 70_000
			return &inside
		}) {
			if inside != nil {
				conform++
			}
			if inside != nil && *inside {
				right++
			}
		}
		return row{"said to conform, of a sum around its limit: is inside", "95 % at least", 0.95, 1, share(right, conform), fmt.Sprintf("seed %d", seed)}
	}
	many, drawn := pick(quick, 2000, 20_000), pick(quick, 40, 1800)
	return []row{
		share95("covered: a sum of two lengths of one gauge", one, many, 701),
		decided(many, 706),
		share95("covered: a difference, with an error that varies along the range", varying, many, 702),
		share95("covered: a gauge that leans by up to 2 degrees", leaning, drawn, 703),
		share95("covered: the larger of two lengths nearly alike", larger, drawn, 704),
		share95("covered: a distance from two offsets around nought", distance, drawn, 705),
	}
}
