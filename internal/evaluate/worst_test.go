package evaluate

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// chosenFrom evaluates readings under a procedure that chooses from a family.
func chosenFrom(t *testing.T, written, family, readings string, fitted ...procedure.Fitted) Evaluation {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte(written))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(family))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{Fitted: fitted}
	for pair := range strings.SplitSeq(readings, ", ") {
		name, value, _ := strings.Cut(pair, " ")
		r, err := p.Typed(name, value, typedIn(p, name))
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := Evaluate(p, f, in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

const (
	washerGap = `procedure: washer
title: Washer
unit: mm
decimals: 2
measure: {gap: {title: gap}}
CONSTANTgap: FORMULA
allow: {play: {min: 0.10, max: 0.56}}
parts: washers
choose: {method: middle}
`
	washers = `family: washers
title: Washers
unit: mm
grades:
  - {part: W190, thickness: {min: 1.85, max: 1.95}}
  - {part: W230, thickness: {min: 2.25, max: 2.35}}
`
)

// TestWashers: thrust washers of 1.85 to 1.95 mm and of 2.25 to 2.35 mm for a play
// of 0.10 to 0.56 mm (numbers ours): in a gap of 2.44 mm a real piece of either may
// end outside. The washer of 2.30 mm leaves 0.09 to 0.19 mm, and is
// inside where it is thinner than 2.34 mm: 0.09 of 0.10 mm, 90 %; that of 1.90 mm
// leaves 0.49 to 0.59 mm, inside where it is thicker than 1.88 mm: 70 %.
func TestWashers(t *testing.T) {
	e := chosenFrom(t, strings.NewReplacer("CONSTANT", "", "FORMULA", "gap").Replace(washerGap), washers, "gap 2.44")
	if e.Outcome != FitPart || e.Choice == nil || e.Choice.Part != "W230" || fmt.Sprint(e.Fit.Unstated) != "[gap]" {
		t.Fatalf("%s %+v, without the error of %v", e.Outcome, e.Choice, e.Fit.Unstated)
	}
	for i, want := range []struct {
		low, high   string
		probability Probability
	}{{"0.49", "0.59", 7000}, {"0.09", "0.19", 9000}} {
		c := e.Candidates[i]
		if c.Worst == nil || *c.Worst.Min != mm(want.low) || *c.Worst.Max != mm(want.high) || c.Probability == nil || *c.Probability != want.probability {
			t.Errorf("%s: %+v with %v, want %s to %s with %v", c.Part, c.Worst, c.Probability, want.low, want.high, want.probability)
		}
	}
	want := "Within the stated tolerances of W230, W230 may leave play 0.09 to 0.19 mm; allowed is play 0.10 to 0.56 mm. Measure what is only stated before fitting, or prove the result."
	if got := findingOf(e, FindingWorst); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	want = "The probability of ending inside the limits is 90 %, wanted is 95 %. Measure after fitting, or improve the measurement before it: Measure W230 itself instead of using its stated value."
	if got := findingOf(e, FindingUnlikely); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if b := e.Budgets[len(e.Budgets)-1]; b.Of != "play with W230" || fmt.Sprint(b.Unstated) != "[gap]" || b.Contributions[0].Source != "W230: tolerance of the part" {
		t.Errorf("budget %+v", b)
	}
}

// TestConstantsWorstCase: a gasket within its tolerance moves the gap, and with it
// the worst case of each grade, though nothing is known of the gauge.
func TestConstantsWorstCase(t *testing.T) {
	written := strings.NewReplacer("CONSTANT", "constants: {gasket: {value: 0.30, tolerance: 0.02}}\n", "FORMULA", "gap + gasket").Replace(washerGap)
	e := chosenFrom(t, written, washers, "gap 2.14")
	if w := e.Fit.Worst; w == nil || *w.Min != mm("2.42") || *w.Max != mm("2.46") {
		t.Errorf("gap %+v", w)
	}
	if c := e.Choice; *c.Worst.Min != mm("0.07") || *c.Worst.Max != mm("0.21") || *c.Probability >= 9000 {
		t.Errorf("%+v with %s", c.Worst, c.Probability)
	}
	if got := findingOf(e, FindingWorst); !strings.HasPrefix(got, "Within the stated tolerances of gasket and W230, W230 may leave play 0.07 to 0.21 mm") {
		t.Errorf("got %s", got)
	}
	// Far inside, the numbers are there and nothing is said.
	e = chosenFrom(t, written, washers, "gap 1.92")
	if c := e.Choice; c.Part != "W190" || c.Worst == nil || *c.Probability != 10_000 || len(e.Findings) > 0 {
		t.Errorf("%+v with %v and %v", c.Worst, c.Probability, e.Findings)
	}
}

// TestJudgedWorstCase: a result that is judged shows how far its constants may
// move it, and is decided as it was.
func TestJudgedWorstCase(t *testing.T) {
	e := evaluateText(t, `procedure: p
title: t
unit: mm
measure: {depth: {title: depth}}
constants: {bar: {value: 12.700, tolerance: 0.010}}
judge: {height: {value: depth - bar, min: 1.000, max: 1.020}}
`, "depth 13.715")
	j := e.Judgements[0]
	if j.Outcome != Conforms || !j.Rule.Equal(ruleSimple) || *j.Worst.Min != mm("1.005") || *j.Worst.Max != mm("1.025") || *j.Probability < 7460 || *j.Probability > 7540 || fmt.Sprint(j.Unstated) != "[depth]" {
		t.Errorf("%+v with %v", j, *j.Probability)
	}
}

// TestStatedThicknessStrays: the same for a stated thickness, and for a table.
func TestStatedThicknessStrays(t *testing.T) {
	e := chosenFrom(t, `procedure: p
title: t
unit: mm
measure: {gap: {title: gap}}
thickness: gap
within: 0.06
parts: washers
`, washers, "gap 2.32")
	if got := findingOf(e, FindingWorst); e.Outcome != FitPart || got != "Within the stated tolerances of W230, W230 may be up to 0.070 mm off the wanted thickness; allowed is 0.060 mm. Measure what is only stated before fitting." {
		t.Errorf("%s: %s", e.Outcome, got)
	}
	e = chosenFrom(t, `procedure: p
title: t
unit: mm
measure: {gap: {title: gap}}
constants: {bar: {value: 10.000, tolerance: 0.010}}
gap: gap - bar
parts: rows
choose: {method: table}
`, `family: rows
title: Rows
unit: mm
row_step: 0.001
border: lower row
grades:
  - {part: one, serves: {max: 4.843}}
  - {part: two, serves: {min: 4.844, max: 5.113}}
`, "gap 14.850")
	if got := findingOf(e, FindingWorst); e.Choice.Part != "two" || got != "Within the stated tolerances of bar, the gap may be between 4.840 and 4.860 mm. Not all of that belongs to this row of the table. Measure what is only stated." {
		t.Errorf("%+v: %s", e.Choice, got)
	}
}

// TestSpreads: what any constants within their tolerances give lies inside the
// worst case, and sums reach its ends. A constant that stands twice cancels.
func TestSpreads(t *testing.T) {
	const written = `procedure: p
title: t
unit: mm
measure: {m: {title: m, repeats: 2}, q: {title: q}}
constants:
  a: {value: 3.000, tolerance: 0.200}
  b: {value: 1.000, tolerance: 0.100}
  c: {value: 0.050, tolerance: 0.100}
  n: {value: 2.00, unit: number, tolerance: 0.05}
values: {v: "FORMULA"}
`
	draw := rand.New(rand.NewPCG(3, 1))
	for text, reaches := range map[string]bool{
		"m + a - b + q": true, "(m + a) - a": true, "2*(a - b) + b/4 - q": true, "m - a*1.5 + mean(a, b)": true,
		"n*a - b": false, "a/n": false, "abs(c) + b": false, "abs(a - b)": true, "largest(a, b, c)": false, "smallest(b, c)": false,
		"median(a, b, 3.1)": false, "range(a, b, c)": false, "round(a + c, 0.05)": false, "range(m) + a": true, "a*b/b": false, "m*a/b": false,
	} {
		p, err := readProcedure("p.yaml", []byte(strings.Replace(written, "FORMULA", text, 1)))
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		var in compute.Input
		for _, r := range []struct{ name, value string }{{"m", "10.000"}, {"m", "10.010"}, {"q", "-0.300"}} {
			in.Readings = append(in.Readings, procedure.Reading{Measurement: r.name, Value: mm(r.value), Unit: gauge.Millimetre})
		}
		if _, err := Evaluate(p, nil, in); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		w, err := newWork(p, nil, in)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.evaluate(); err != nil {
			t.Fatal(err)
		}
		x := p.Values[0].Formulas[0].Expression
		worst := w.Worst(x, p.Values[0].Unit)
		if text == "(m + a) - a" {
			if *worst.Min != *worst.Max {
				t.Errorf("%s does not cancel: %+v", text, worst)
			}
			continue
		}
		least, most := *worst.Max, *worst.Min
		for range 400 {
			moved := map[formula.Taken]*big.Rat{}
			for _, c := range p.Constants {
				f := big.NewRat(int64(draw.IntN(21)-10), 10)
				if draw.IntN(2) == 0 {
					f = big.NewRat(int64(draw.IntN(2)*2-1), 1) // an end
				}
				moved[formula.Taken{Step: c.Name}] = f.Add(f.Mul(f, c.Doubt.Tolerance), c.Exact)
			}
			r, err := w.At(x, moved)
			if err != nil {
				t.Fatal(err)
			}
			l, err := formula.InUnit(r, p.Values[0].Unit)
			if err != nil {
				t.Fatal(err)
			}
			least, most = min(least, l), max(most, l)
		}
		if least < *worst.Min || most > *worst.Max {
			t.Errorf("%s gives %d to %d, outside %d to %d", text, least, most, *worst.Min, *worst.Max)
		}
		if reaches && (least != *worst.Min || most != *worst.Max) {
			t.Errorf("%s gives %d to %d, short of %d to %d", text, least, most, *worst.Min, *worst.Max)
		}
	}
}
