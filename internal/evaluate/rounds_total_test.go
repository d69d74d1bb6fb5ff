package evaluate

import (
	"os"
	"path/filepath"
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
