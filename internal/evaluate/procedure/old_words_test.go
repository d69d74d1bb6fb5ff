package procedure

import (
	"strings"
	"testing"

	"gauged/internal/shopfile"
)

// everyOldWord is a procedure with words that files had once.
const everyOldWord = `procedure: p
title: t
unit: mm
instruments: {counter: {unit: 1, error: 1}}
measure:
  state: {title: state, codes: [new, used]}
  old: {title: old mark, unit: 1, instrument: counter}
  depth: {title: depth}
constants: {ratio: {value: 2, unit: "1"}}
tables:
  line: {mode: exact, by: {old: 1}, unit: 1, rows: {1: 2, 2: 3}}
  grid: {mode: row, by: {old: {unit: 1}}, unit: mm, rows: {1..2: 2, 3..4: 3}, holes: accepted}
values: {double: {value: ratio*line(old), unit: 1}}
fit:
  left: {gap: depth, allow: {play: {min: 0, max: 1}}, parts: f, choose: {aim: middle, border: outside}}
  right: {parts: g, choose: {aim: code}}
  third: {gap: depth, allow: {play: {min: 0, max: 1}}, parts: f, choose: {aim: {play: 0.5}, border: inside}}
  fourth: {gap: old + double, parts: h, choose: {aim: table}}
verify:
  measure: {fine: {title: fine, codes: [goes, does not go]}, count: {title: count, unit: 1}}
  judge: {fine: {is: goes}, count: {max: 3}}
`

// TestOldWords: each is told with its place and the word of now, and nothing else is told
// with it; a version that was in force once is read as it was.
func TestOldWords(t *testing.T) {
	try := func(*Procedure, *shopfile.Map) {}
	_, err := Read("p.yaml", []byte(everyOldWord), nil, try)
	want := []string{
		`p.yaml:4:25: "unit: 1" is now written "unit: number"`,
		`p.yaml:6:25: "codes" is now written "one_of"`,
		`p.yaml:7:26: "unit: 1" is now written "unit: number"`,
		`p.yaml:9:31: "unit: 1" is now written "unit: number"`,
		`p.yaml:11:28: "old: 1" is now written "old: number"`,
		`p.yaml:11:37: "unit: 1" is now written "unit: number"`,
		`p.yaml:12:32: "unit: 1" is now written "unit: number"`,
		`p.yaml:13:43: "unit: 1" is now written "unit: number"`,
		`p.yaml:15:74: "aim: middle" is now written "method: middle"`,
		`p.yaml:15:87: "border: outside" is now written "at_limit: does not fit"`,
		`p.yaml:16:30: "aim: code" is now written "method: marks"`,
		`p.yaml:17:93: "border: inside" is now written "at_limit: fits"`,
		`p.yaml:18:17: a gap is a length, and this is a number: write it under look_up`,
		`p.yaml:18:50: "aim: table" is now written "method: table"`,
		`p.yaml:20:33: "codes" is now written "one_of"`,
		`p.yaml:20:84: "unit: 1" is now written "unit: number"`,
	}
	if err == nil || err.Error() != strings.Join(want, "\n") {
		t.Errorf("got\n%v\nwant\n%s", err, strings.Join(want, "\n"))
	}
	p, err := Read("p.yaml", []byte(everyOldWord), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if c := p.Places[0].Choose; c.Aim != AimMiddle || c.Border != BorderOutside || p.Places[1].Choose.Aim != AimCode || p.Places[2].Choose.Aim != AimPlay || p.Places[3].GapName() != "fourth: gap" {
		t.Errorf("%+v", p.Places)
	}
	if len(p.Measure[0].Codes) != 2 || p.Measure[1].Unit.String() != "1" {
		t.Errorf("%+v", p.Measure)
	}
}

// TestOldWordsOfFamilies: as above.
func TestOldWordsOfFamilies(t *testing.T) {
	const text = "family: f\ntitle: t\nunit: 1\ngrades: [{part: a}, {part: b}]\ncodes: {by: [m], rows: {A: a, B: b}}\n"
	_, err := ReadFamily("f.yaml", []byte(text))
	if want := "f.yaml:3:1: \"unit: 1\" is now written \"unit: number\"\nf.yaml:5:1: \"codes\" is now written \"by_marks\""; err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if f, err := ReadStoredFamily("f.yaml", []byte(text)); err != nil || len(f.CodeRows) != 2 {
		t.Errorf("%v", err)
	}
}

// TestNamesOfOneVersionInForce: names that differ in capitals only are refused in a file,
// and a version that was in force once keeps them.
func TestNamesOfOneVersionInForce(t *testing.T) {
	const family = "family: f\ntitle: t\nunit: mm\ngrades: [{part: a, thickness: 1, mark: x}, {part: A, thickness: 2, mark: X}]\n"
	_, err := ReadFamily("f.yaml", []byte(family))
	if want := "f.yaml:4:51: a and A differ in capitals only, at f.yaml:4:17: give them different names\nf.yaml:4:74: x and X differ in capitals only, at f.yaml:4:40: give them different names"; err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if f, err := ReadStoredFamily("f.yaml", []byte(family)); err != nil || len(f.Grades) != 2 {
		t.Errorf("%v", err)
	}
	const procedure = "procedure: p\ntitle: t\nunit: mm\nmeasure: {a: {title: a}, A: {title: a}}\ngap: a + A\nallow: {result: {max: 1}}\n"
	tried := func(*Procedure, *shopfile.Map) {}
	_, err = Read("p.yaml", []byte(procedure), nil, tried)
	if want := "p.yaml:4:26: a and A differ in capitals only, at p.yaml:4:11: give them different names"; err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if p, err := Read("p.yaml", []byte(procedure), nil, nil); err != nil || len(p.Measure) != 2 {
		t.Errorf("%v", err)
	}
}
