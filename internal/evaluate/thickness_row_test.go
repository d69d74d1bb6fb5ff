package evaluate

import (
	"strings"
	"testing"
)

// TestAStatedThicknessNearARow: a play of 0.2587 is cut to 0.25 and gives 1.95 mm; from
// 0.26 on it is 2.05. The border is 0.0013 away, twice the standard uncertainty is 2 *
// 0.003/sqrt(3) = 0.0035 mm; numbers ours. That is said, and what is stated of the gauge
// counts.
func TestAStatedThicknessNearARow(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
decimals: 4
instruments: {dial: {resolution: 0.0001, error: 0.003}}
measure: {play: {title: play, instrument: dial}}
tables:
  chart: {title: t, by: {cut: {unit: mm, step: 0.01}}, mode: row, rows: {0.10..0.25: 1.95, 0.26..0.35: 2.05}}
values: {cut: CUT}
thickness: chart(cut)
parts: kit
`
	kit := kitOf("series: {from: 1.80, to: 2.30, step: 0.05}")
	for _, c := range []struct {
		cut, play string
		near      bool
	}{
		{"\"truncate(play, 0.01)\"", "0.2587", true},
		{"\"truncate(play, 0.01)\"", "0.2450", false},
		{"play", "0.2540", true}, // 0.255 is the border of the rounded row
		{"play", "0.2450", false},
	} {
		j := startRounds(t, strings.Replace(text, "CUT", c.cut, 1), kit)
		e := j.read("play", c.play).come()
		if e.Recommended() != "1.95" || (findingOf(e, FindingNearStep) != "") != c.near {
			t.Errorf("%s of %s: %s, %s", c.cut, c.play, e.Recommended(), findingsText(e))
		}
		if c.near && len(e.Budgets) == 0 {
			t.Errorf("%s of %s: no budget", c.cut, c.play)
		}
	}
}
