package vet

import (
	"strings"
	"testing"
)

// TestForgotten: the gasket that stands in no sum is named, and what a sum uses
// although it may be left out.
func TestForgotten(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
instruments: {dial: {error: 0.01}}
measure:
  gears: {title: gears, one_of: [new, used]}
  a: {title: a, instrument: dial}
  b: {title: b, when: {gears: used}}
constants: {gasket: 0.3}
VALUES
gap: GAP
allow: {play: {min: 0, max: 1}}
part: made to size
choose: {method: middle}
`
	for _, c := range []struct{ values, gap, want string }{
		{"values: {s: {by: gears, cases: {new: a, used: a - b}}}", "s - gasket", ""},
		{"", "a", "b is measured and stands in no sum, limit or case that counts; the constant gasket stands in no sum, limit or case that counts"},
		{"values: {idle: gasket - b}", "a", "b is measured and stands in no sum, limit or case that counts; the constant gasket stands in no sum, limit or case that counts"},
		{"", "a + b + gasket", "b is measured only when gears is used, and a sum uses it in any case"},
	} {
		p, err := ReadProcedure("p.yaml", []byte(strings.NewReplacer("VALUES", c.values, "GAP", c.gap).Replace(text)))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(told(Doubtful(p)), "; "); got != c.want {
			t.Errorf("%s: %q, want %q", c.gap, got, c.want)
		}
	}
	p, err := ReadProcedure("p.yaml", []byte(strings.NewReplacer("VALUES", "", "GAP", "a + gasket + b", ", instrument: dial", "").Replace(text)))
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(told(Doubtful(p)), "; "); !strings.HasPrefix(got, "nothing is measured with the instrument dial") {
		t.Error(got)
	}
}

// TestAJudgedValueUsesWhatMakesIt: judge with limits alone speaks of the value of that
// name, so that what makes the value is not forgotten.
func TestAJudgedValueUsesWhatMakesIt(t *testing.T) {
	p, err := ReadProcedure("p.yaml", []byte(`procedure: p
title: t
unit: mm
measure: {a: {title: a}, b: {title: b}}
constants: {ratio: {value: 2, unit: number}}
values: {lash: (b - a)/ratio}
judge: {lash: {min: 0.10, max: 0.20}}
`))
	if err != nil {
		t.Fatal(err)
	}
	if notes := told(Doubtful(p)); len(notes) > 0 {
		t.Error(notes)
	}
}
