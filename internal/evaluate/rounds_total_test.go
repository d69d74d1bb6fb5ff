package evaluate

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
)

// TestTheWantedTotalStays: 2.50 + 3.30 + 0.12 + 0.08 = 6.00 mm is wanted together. What
// is in makes 5.98, which its limit of 0.02 lets pass. Nothing of the total is measured
// anew, so the next round wants 6.00 again, not 5.98, and the round after it too.
func TestTheWantedTotalStays(t *testing.T) {
	read := func(name string) string {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "trade", "carrier-in-rounds", name))
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	j := startRounds(t, read("procedure.yaml"), read("parts.yaml"))
	first := j.p
	j.read("left_trial", "2.50").read("right_trial", "3.30").read("end_play", "0.12", "0.12").read("lash", "0.17", "0.18", "0.17", "0.19")
	left, right := mm("2.55"), mm("3.43")
	in := []procedure.Fitted{{Place: "ring_gear_side", Part: "2.56", Thickness: &left}, {Place: "opposite_side", Part: "3.44", Thickness: &right}}
	for round := 2; round <= 4; round++ {
		j.fit(in...).read("lash_after", "0.22", "0.22", "0.22", "0.22")
		j = j.next(first)
		e := j.come()
		if e.Together == nil || e.Together.Wanted != mm("6.00") || e.Together.Thickness == nil || *e.Together.Thickness != mm("6.00") {
			t.Fatalf("round %d: %+v, %s", round, e.Together, findingsText(e))
		}
		j.fit(in...)
		for _, g := range j.come().Judgements {
			if g.Name == "kept" && g.Value != mm("-0.02") {
				t.Errorf("round %d: kept %s", round, g.Value.Text(j.p.Unit, 3))
			}
		}
	}
}

// TestATotalThatIsMeasuredAnewFollows: a play that the proof measures is what the total
// of the next round follows from.
func TestATotalThatIsMeasuredAnewFollows(t *testing.T) {
	j := startRounds(t, `procedure: p
title: t
unit: mm
measure: {left_in: {title: l}, right_in: {title: r}, play: {title: p, play: must be felt}}
constants: {preload: 0.08}
values: {total: left_in + right_in + play + preload}
fit:
  left: {thickness: left_in + (play + preload)/2, parts: kit}
  right: {thickness: right_in + (play + preload)/2, parts: kit}
together: {total: total}
verify:
  measure: {play_after: {title: p}}
  judge: {tight: {value: play_after, max: -0.06}}
rounds: {next: {left_in: fitted(left), right_in: fitted(right), play: play_after}}
`, series4)
	first := j.p
	j.read("left_in", "2.52").read("right_in", "3.32").read("play", "0.08")
	j.fit(procedure.Fitted{Place: "left", Part: "2.60"}, procedure.Fitted{Place: "right", Part: "3.40"}).read("play_after", "0.04")
	if e := j.next(first).come(); e.Together == nil || e.Together.Wanted != mm("6.12") { // 6.00 + 0.04 + 0.08
		t.Errorf("%+v", e.Together)
	}
}

// measuredTotal measures the trial shims and what is fitted with one micrometer.
const measuredTotal = `procedure: p
title: t
unit: mm
instruments: {micrometer: {resolution: 0.001, error: 0.004}, dial: {resolution: 0.001, error: 0.003}}
measure:
  left_trial: {title: l, instrument: micrometer}
  right_trial: {title: r, instrument: micrometer}
  end_play: {title: e, repeats: 2, agree: 0.02, play: must be felt, instrument: dial}
  lash: {title: b, repeats: 4, take: smallest, instrument: dial}
constants: {preload: 0.08, wanted_lash: 0.18, for_lash: {value: 2, unit: number}}
values:
  trials: left_trial + right_trial
  total: trials + end_play + preload
  move: (lash - wanted_lash) * for_lash
judge:
  kept: {title: shims less the wanted total, value: parts - total, min: -0.02, max: 0.02}
fit:
  left: {thickness: left_trial + (end_play + preload)/2 + move, parts: k, choose: {method: nearest, measured_with: micrometer}}
  right: {thickness: right_trial + (end_play + preload)/2 - move, parts: k, choose: {method: nearest, measured_with: micrometer}}
together: {first: total, total: total}
verify:
  measure: {lash_after: {title: a, repeats: 4, take: smallest, instrument: dial}}
  judge: {lash_in: {value: lash_after, min: 0.15, max: 0.21}}
rounds: {most: 5, next: {left_trial: fitted(left), right_trial: fitted(right), end_play: -preload, lash: lash_after}}
`

// TestAKeptTotalIsAsUncertainInEachRound: the same thicknesses are held against the same
// total of 2.520 + 3.280 + 0.111 + 0.080 = 5.991 mm, 0.017 mm above it and 0.003 mm from
// the limit. Each round says of it what the first says.
func TestAKeptTotalIsAsUncertainInEachRound(t *testing.T) {
	j := startRounds(t, measuredTotal, `family: k
title: k
unit: mm
series: {from: 2.00, to: 4.00, step: 0.04}
`)
	first := j.p
	j.read("left_trial", "2.520").read("right_trial", "3.280").read("end_play", "0.110", "0.112").read("lash", "0.190", "0.200", "0.190", "0.210")
	left, right := mm("2.648"), mm("3.360")
	in := []procedure.Fitted{{Place: "left", Part: "2.64", Thickness: &left}, {Place: "right", Part: "3.36", Thickness: &right}}
	kept := func() (g Judgement) {
		e := j.fit(in...).come()
		for _, one := range e.Judgements {
			if one.Name == "kept" {
				return one
			}
		}
		t.Fatalf("%s %s", e.Outcome, findingsText(e))
		return g
	}
	was := kept()
	if said := findingsText(j.come()); !strings.Contains(said, "6.000 mm, each as it is stamped. As measured they make 6.008 mm") {
		t.Errorf("the total counts as stamped, beside 0.017 as measured: %s", said)
	}
	if was.Value != mm("0.017") || was.Outcome != Undecided || was.Probability == nil || was.Rule.Equal(ruleSimple) {
		t.Fatalf("%+v", was)
	}
	for round := 2; round <= 4; round++ {
		j.read("lash_after", "0.220", "0.220", "0.220", "0.220")
		j = j.next(first)
		is := kept()
		if is.Value != was.Value || is.Outcome != was.Outcome || !is.Rule.Equal(was.Rule) || is.Probability == nil || *is.Probability != *was.Probability {
			t.Errorf("round %d: %+v, round 1: %+v", round, is, was)
		}
	}
}
