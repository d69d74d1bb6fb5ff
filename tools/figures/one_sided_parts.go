package main

import (
	"math/rand/v2"
	"sync"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/vet"
)

func init() {
	add(subject{
		name:  "Parts stated to one side",
		about: "Washers of 1.40 and 1.50 mm, each up to 0.05 mm thicker (numbers ours), in gaps of 1.55 to 1.65 mm. A play of 0.10 to 0.20 mm\nis wanted. A dial of 0.005 mm error, read to 0.001 mm, measures gap and play. The washer is not measured.",
		run:   oneSidedFigures,
	})
}

const oneSided = `procedure: washer
title: Washer
unit: mm
instruments: {dial: {error: 0.005, resolution: 0.001}}
measure: {g: {title: gap, instrument: dial}}
gap: g
allow: {play: {min: 0.10, max: 0.20}}
parts: washers
choose: {method: likeliest}
verify: {measure: {p: {title: end play, instrument: dial}}, play: p}
`

const oneSidedWashers = `family: washers
title: Washers
unit: mm
grades:
  - {part: A, thickness: 1.40, tolerance: {plus: 0.05, minus: 0}}
  - {part: B, thickness: 1.50, tolerance: {plus: 0.05, minus: 0}}
`

// provedWasher is what became of one unit.
type provedWasher struct {
	fitted, differs, stamped bool    // one fits; its proof is said to differ, and would be from what is stamped
	beyond                   float64 // 1 where it ends inside, less the probability that was foretold
}

func oneSidedFigures(quick bool) []row {
	runs := pick(quick, 2000, 20000)
	p, err := vet.ReadProcedure("washer.yaml", []byte(oneSided))
	must(err)
	washers, err := procedure.ReadFamily("washers.yaml", []byte(oneSidedWashers))
	must(err)
	briefs := sync.Pool{New: func() any { return evaluate.NewBrief() }}
	const micrometre = gauge.Length(1_000_000)
	all := draws(runs, 911, func(random *rand.Rand) provedWasher {
		between := func(low, high int64) gauge.Length {
			return gauge.Length(low*1000+random.Int64N((high-low)*1000)) * (micrometre / 1000)
		}
		read := func(name string, real gauge.Length) procedure.Reading {
			shown := real + between(-5, 5)
			return procedure.Reading{Measurement: name, Value: (shown + micrometre/2) / micrometre * micrometre, Unit: gauge.Millimetre}
		}
		gap := between(1550, 1650)
		in := compute.Input{Readings: []procedure.Reading{read("g", gap)}}
		brief := briefs.Get().(*evaluate.Brief)
		defer briefs.Put(brief)
		e, err := brief.Evaluate(p, washers, in)
		must(err)
		if e.Choice == nil {
			return provedWasher{}
		}
		play := gap - *e.Choice.Thickness - between(0, 50)
		foretold := e.Choice.Probability.Float()
		in.Fitted = []procedure.Fitted{{Part: e.Choice.Part}}
		in.Readings = append(in.Readings, read("p", play))
		e, err = brief.Evaluate(p, washers, in)
		must(err)
		v := e.Verification
		w := provedWasher{fitted: true, differs: !*v.Agrees, stamped: (v.Measured - (*e.Gap - *e.Fitted.Thickness)).Abs() > *v.Uncertainty, beyond: -foretold}
		if play >= 100*micrometre && play <= 200*micrometre {
			w.beyond++
		}
		return w
	})
	fitted, differs, stamped := 0, 0, 0
	var beyond []float64
	for _, w := range all {
		if !w.fitted {
			continue
		}
		fitted++
		beyond = append(beyond, w.beyond)
		if w.differs {
			differs++
		}
		if w.stamped {
			stamped++
		}
	}
	return []row{
		{"a right proof is said to differ from the prediction, which is the middle of what is stated", "5 % at most", 0, 0.05, share(differs, fitted), "seed 911"},
		{"a right proof would be said to differ from what is stamped", "a third and more", 0.3, 0.5, share(stamped, fitted), "seed 911"},
		{"share that ends inside, less the probability that was foretold", "0, at most 0.01 either way", -0.01, 0.01, mean(beyond), "seed 911"},
	}
}
