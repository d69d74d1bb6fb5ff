package evaluate

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// randomJob is a family of random grades and a random gap and window.
func randomJob(t *rapid.T) (*procedure.Procedure, *procedure.Family, compute.Input) {
	aim := rapid.SampledFrom([]string{"middle", "thickest", "thinnest"}).Draw(t, "aim")
	tie := rapid.SampledFrom([]string{"thinner", "thicker"}).Draw(t, "tie")
	atLimit := rapid.SampledFrom([]string{"fits", "does not fit"}).Draw(t, "at_limit")
	low := rapid.IntRange(0, 300).Draw(t, "low")
	high := low + rapid.IntRange(0, 200).Draw(t, "width")
	p, err := readProcedure("p.yaml", fmt.Appendf(nil, `procedure: p
title: t
unit: mm
measure: {g: {title: gap, repeats: 2}}
gap: g
allow: {play: {min: %d.%03d, max: %d.%03d}}
parts: f
choose: {method: %s, tie: %s, at_limit: %s}
`, low/1000, low%1000, high/1000, high%1000, aim, tie, atLimit))
	if err != nil {
		t.Fatal(err)
	}
	f := &procedure.Family{ID: "f", Unit: gauge.Millimetre}
	thickness := gauge.Length(0)
	for i := range rapid.IntRange(1, 12).Draw(t, "grades") {
		thickness += gauge.Length(rapid.IntRange(1, 200).Draw(t, "step")) * 1e6
		g := procedure.Grade{Part: fmt.Sprint("g", i), Thickness: new(gauge.Length)}
		*g.Thickness = thickness
		if rapid.IntRange(0, 4).Draw(t, "stock") == 0 {
			g.Stock = new(int)
		}
		f.Grades = append(f.Grades, g)
	}
	var in compute.Input
	for range rapid.IntRange(2, 5).Draw(t, "repeats") {
		v := gauge.Length(rapid.Int64Range(-100e6, 2500e6).Draw(t, "reading"))
		in.Readings = append(in.Readings, procedure.Reading{Measurement: "g", Value: v, Unit: gauge.Millimetre})
	}
	return p, f, in
}

func TestChoiceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, f, in := randomJob(t)
		e, err := Evaluate(p, f, in)
		if err != nil {
			t.Fatal(err)
		}
		if e.Choice == nil {
			for _, c := range e.Candidates {
				if c.Fits && !c.Out() {
					t.Fatalf("%s fits and is there, but nothing was chosen: %s", c.Part, e.Outcome)
				}
			}
			return
		}
		c := e.Choice
		if c.Out() || !p.Allowed.Contains(*c.Play) || *e.Gap-*c.Thickness != *c.Play || *c.Thickness <= 0 {
			t.Fatalf("chosen %+v with gap %d and allowed %+v", c, *e.Gap, p.Allowed)
		}
		for _, other := range e.Candidates {
			if !other.Fits || other.Out() {
				continue
			}
			switch p.Choose.Aim {
			case procedure.AimThickest:
				if *other.Thickness > *c.Thickness {
					t.Fatalf("%s is thicker than %s", other.Part, c.Part)
				}
			case procedure.AimThinnest:
				if *other.Thickness < *c.Thickness {
					t.Fatalf("%s is thinner than %s", other.Part, c.Part)
				}
			default:
				middle := *e.Window.Min + *e.Window.Max
				if (2**other.Thickness - middle).Abs() < (2**c.Thickness - middle).Abs() {
					t.Fatalf("%s is nearer to the middle than %s", other.Part, c.Part)
				}
			}
		}
	})
}

// TestOrderOfRepeatsDoesNotMatter: the choice depends on the readings, not on
// their order.
func TestOrderOfRepeatsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, f, in := randomJob(t)
		first, err := Evaluate(p, f, in)
		if err != nil {
			t.Fatal(err)
		}
		shuffled := compute.Input{Readings: rapid.Permutation(in.Readings).Draw(t, "order")}
		second, err := Evaluate(p, f, shuffled)
		if err != nil {
			t.Fatal(err)
		}
		if choiceOf(first) != choiceOf(second) || first.Outcome != second.Outcome || *first.Gap != *second.Gap {
			t.Fatalf("%s %q, then %s %q", first.Outcome, choiceOf(first), second.Outcome, choiceOf(second))
		}
	})
}

// TestThickerGapNeverThinnerPart: with all grades in stock, a wider gap never
// leads to a thinner part.
func TestThickerGapNeverThinnerPart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, f, in := randomJob(t)
		for i := range f.Grades {
			f.Grades[i].Stock = nil
		}
		first, err := Evaluate(p, f, in)
		if err != nil {
			t.Fatal(err)
		}
		wider := gauge.Length(rapid.Int64Range(0, 500e6).Draw(t, "wider"))
		for i := range in.Readings {
			in.Readings[i].Value += wider
		}
		second, err := Evaluate(p, f, in)
		if err != nil {
			t.Fatal(err)
		}
		if first.Choice != nil && second.Choice != nil && *second.Choice.Thickness < *first.Choice.Thickness {
			t.Fatalf("gap %d gives %s, wider gap %d gives the thinner %s", *first.Gap, first.Choice.Part, *second.Gap, second.Choice.Part)
		}
	})
}

// BenchmarkEvaluate is a chain of ten links with 20 grades.
