package evaluate

import (
	"strings"
	"testing"
)

// TestOperandsInTheLinesUnit: a line of arithmetic is written in one unit. What has
// another is converted where that is exact, and else carries its own.
func TestOperandsInTheLinesUnit(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
measure:
  depth: {title: depth}
  height: {title: height, unit: in}
  torque: {title: torque, unit: N m}
  pull: {title: pull, unit: N}
constants: {bar: 12.700, drag: {value: 2, unit: lbf in}}
values: {v: {value: FORMULA, unit: UNIT}}
`
	for _, c := range []struct{ formula, unit, want string }{
		{"depth - height", "mm", "5.000 - 50.8"},       // 2 in
		{"depth - height", "in", "5.000 mm - 2"},       // 5 mm is no whole number of inches to nine decimals
		{"height - bar - 2.54", "in", "2 - 0.5 - 0.1"}, // 12.7 mm, 2.54 mm
		{"depth - 0.001", "in", "5.000 mm - 0.001 mm"},
		{"depth + 2*1.27", "in", "5.000 mm + 2*0.05"},
		{"torque - drag", "N m", "9 - 2 lbf in"},
		{"pull * bar", "N m", "3 N * 12.700 mm"},
		{"torque / 3", "N m", "9 / 3"},
	} {
		e := evaluateText(t, strings.NewReplacer("FORMULA", c.formula, "UNIT", c.unit).Replace(text), "depth 5.000, height 2.000, torque 9, pull 3")
		if got := e.Sums[0].Worked; got != c.want {
			t.Errorf("%s in %s is worked as %q, want %q", c.formula, c.unit, got, c.want)
		}
	}
}
