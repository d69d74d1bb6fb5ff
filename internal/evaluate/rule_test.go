package evaluate

import (
	"encoding/json"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
)

// endPlay is an invented procedure whose result is 0.001 mm inside its limit by
// a gauge with a stated error. Bystanders stand in the place of the stars.
const endPlay = `procedure: end-play
title: End play
unit: mm
instruments:
  indicator: {error: 0.003}
  wrench: {unit: N m, error: 2}
measure:
  end_play: {title: end play, instrument: indicator}
***judge:
  end_play: {max: 0.200}
`

// bystanders are measurements that are in no sum, with readings for them.
var bystanders = map[string]struct{ measure, readings string }{
	"pair number":       {"pair: {title: pair number, unit: number}", "pair 17"},
	"bolt torque":       {"bolt: {title: bolt, unit: N m, repeats: 3}", "bolt 90, bolt 92, bolt 91"},
	"stated torque":     {"cap: {title: cap, unit: N m, instrument: wrench}", "cap 90"},
	"force":             {"pull: {title: pull, unit: lbf}", "pull 12"},
	"temperature":       {"oil: {title: oil, unit: degC}", "oil 24"},
	"second length":     {"width: {title: width, repeats: 2}", "width 12.31, width 12.33"},
	"feeler":            {"gap2: {title: gap}", "gap2 0.20..0.25"},
	"mark":              {"stamp: {title: stamp, one_of: [A, B]}", "stamp A"},
	"step left out":     {"gears: {title: gears, one_of: [used, new]}\n  lash: {title: lash, when: {gears: used}}", "gears new"},
	"step of this case": {"side: {title: side, one_of: [left, right]}\n  depth: {title: depth, when: {side: left}}", "side left, depth 3.000"},
}

// withBystanders is the end play procedure with more measurements.
func withBystanders(names ...string) (written, readings string) {
	lines := ""
	readings = "end_play 0.199"
	for _, name := range names {
		lines += "  " + bystanders[name].measure + "\n"
		readings += ", " + bystanders[name].readings
	}
	written = strings.Replace(endPlay, "***", lines, 1)
	if !slices.Contains(names, "stated torque") {
		written = strings.Replace(written, "  wrench: {unit: N m, error: 2}\n", "", 1)
	}
	return written, readings
}

// TestBystanders: what is in no sum does not change how a result is decided.
// 0.199 mm with an error of up to 0.003 mm either way is inside 0.200 mm with
// (0.003 + 0.001)/0.006 = 66.7 %, as a rectangle has it.
func TestBystanders(t *testing.T) {
	alone := evaluateText(t, first(withBystanders()), "end_play 0.199")
	if p := alone.Judgements[0].Probability; alone.Outcome != Undecided || p == nil || math.Abs(float64(*p)-6667) > 40 || inEnglish(alone.Judgements[0].Rule) != "guard band 95 %" {
		t.Fatalf("%s by %+v", alone.Outcome, alone.Judgements[0])
	}
	want := inJSON(t, alone.Judgements)
	for name := range bystanders {
		t.Run(name, func(t *testing.T) {
			written, readings := withBystanders(name)
			e := evaluateText(t, written, readings)
			if got := inJSON(t, e.Judgements); e.Outcome != Undecided || got != want || !e.DecisionRule.Equal(alone.DecisionRule) {
				t.Errorf("%s by %q\ngot  %s\nwant %s", e.Outcome, e.DecisionRule, got, want)
			}
		})
	}
}

// TestBystandersAfterFitting: what is measured for the proof alone matters only
// there, and the other way round.
func TestBystandersAfterFitting(t *testing.T) {
	known := []string{
		"measure:\n  depth: {title", "instruments: {gauge: {error: 0.003, resolution: 0.001}}\nmeasure:\n  depth: {instrument: gauge, title",
		"height: {title", "height: {instrument: gauge, title",
	}
	e := bench{procedure: known, readings: measured}.run(t)
	if inEnglish(e.Fit.Rule) != "guard band 95 %" || e.Choice.Probability == nil {
		t.Errorf("chosen by %q with %v, though what is measured before is stated", e.Fit.Rule, e.Choice.Probability)
	}
	e = bench{procedure: known, readings: measured + ", end_play 0.136, end_play 0.137", fitted: &procedure.Fitted{Part: "R160"}}.run(t)
	proof := e.Judgements[len(e.Judgements)-1]
	if inEnglish(proof.Rule) != "simple acceptance" || proof.Probability != nil || !strings.HasPrefix(inEnglish(e.DecisionRule), "Each result has its own rule: play by simple acceptance. ") || !strings.Contains(inEnglish(e.DecisionRule), " part by guard band 95 %. ") {
		t.Errorf("proved by %q with %v; %s", proof.Rule, proof.Probability, e.DecisionRule)
	}
}

// TestRuleOfTheCase: only the formula of the case that was read says what enters
// a result, and what says the temperature of a length is part of it.
func TestRuleOfTheCase(t *testing.T) {
	const cases = `procedure: cases
title: Cases
unit: mm
instruments: {stated: {error: 0.004}}
measure:
  gears: {title: gears, one_of: [used, new]}
  known: {title: known, instrument: stated, expansion: 11.5}
  plain: {title: plain}
  bench: {title: bench, unit: degC}
values:
  play: {by: gears, cases: {used: plain, new: known}}
judge:
  play: {max: 0.200}
`
	for _, c := range []struct{ extra, mark, want string }{
		{"", "new", "guard band 95 %"},
		{"", "used", "simple acceptance"},
		{"temperature: {is: bench}\n", "new", "simple acceptance"},
		{"temperature: {is: bench, tolerance: 1}\n", "new", "guard band 95 %"},
	} {
		e := evaluateText(t, cases+c.extra, "gears "+c.mark+", known 0.199, plain 0.199, bench 21")
		if inEnglish(e.Judgements[0].Rule) != c.want {
			t.Errorf("%s %s: by %q, want %q", c.mark, c.extra, e.Judgements[0].Rule, c.want)
		}
	}
	// Before the mark is read, both may come.
	if e := evaluateText(t, cases, ""); e.DecisionRule.Code != "rule.simple.full" {
		t.Errorf("before: %s", e.DecisionRule)
	}
}

// TestKeptByItsRule: a unit that is left as it is conforms by the rule of what
// was measured, as any other result does.
func TestKeptByItsRule(t *testing.T) {
	const found = `procedure: found
title: Found
unit: mm
instruments: {indicator: {error: 0.004}}
measure:
  end_play: {title: end play, instrument: indicator}
keep_when: {value: end_play, max: 0.200}
gap: end_play
allow: {play: {min: 0.000, max: 0.100}}
part: made to size
choose: {method: middle}
`
	if e := evaluateText(t, found, "end_play 0.190"); e.Outcome != Conforms || inEnglish(e.Judgements[0].Rule) != "guard band 95 %" {
		t.Errorf("0.190: %s %+v", e.Outcome, e.Judgements)
	}
	if e := evaluateText(t, found, "end_play 0.199"); e.Outcome != FitPart || findingOf(e, FindingNearLimit) == "" {
		t.Errorf("0.199: %s %+v", e.Outcome, e.Findings)
	}
}

// TestBystandersDrawn: any number of bystanders in any order leave outcome,
// probability and rule of the result as they were, byte for byte.
func TestBystandersDrawn(t *testing.T) {
	names := slices.Sorted(maps.Keys(bystanders))
	alone := evaluateText(t, first(withBystanders()), "end_play 0.199")
	want := inJSON(t, alone.Judgements)
	draw := rand.New(rand.NewPCG(14253, 1))
	for range 20 {
		draw.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		there := names[:draw.IntN(len(names)+1)]
		written, readings := withBystanders(there...)
		e := evaluateText(t, written, readings)
		if got := inJSON(t, e.Judgements); e.Outcome != alone.Outcome || got != want {
			t.Fatalf("with %q: %s\ngot  %s\nwant %s", there, e.Outcome, got, want)
		}
	}
}

func first(a, _ string) string { return a }

func inJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
