package vet

import (
	"slices"
	"strings"
	"testing"
)

// TestTablesAndWhatIsPlausible: a key that may lie outside, and rows that nothing
// reaches, are named; what nothing is known of is left alone. The tables are invented.
func TestTablesAndWhatIsPlausible(t *testing.T) {
	const rows = "t: {mode: row, by: {a: {unit: mm, step: 0.01}}, unit: mm, rows: {0.00..0.09: 1, 0.10..0.19: 2, 0.20..0.29: 3}}"
	const outside = "table t: a may be from 0.05 mm to 0.4 mm by what is plausible, and the table goes from 0.00..0.09 to 0.20..0.29; what is outside is refused, to be measured again"
	for _, c := range []struct{ plausible, tables, formula, want string }{
		{"{min: 0, max: 0.29}", rows, "t(a)", ""},
		{"{min: 0, max: 0.294}", rows, "t(a)", ""}, // half a step is rounded away
		{"{min: 0.05, max: 0.40}", rows, "t(a)", outside},
		{"{min: 0, max: 0.15}", rows, "t(a)", "table t: nothing plausible reaches the row 0.20..0.29 of a"},
		{"{min: 0, max: 0.15}", rows, "t(a) + t(2*a)", "table t: a may be from 0 mm to 0.3 mm by what is plausible, and the table goes from 0.00..0.09 to 0.20..0.29; what is outside is refused, to be measured again"},
		{"{min: 0, max: 0.15}", rows, "t(b)", ""}, // nothing is said of b
		{"{min: 0, max: 0.15}", rows, "t(a) + t(b)", ""},
		{"{min: 1, max: 1.5}", "t: {mode: interpolate, by: {a: mm}, unit: mm, rows: {0: 1, 1: 2, 2: 3, 3: 4}}", "t(a)", "table t: nothing plausible reaches the row 3 of a"},
		{"{min: 0, max: 1}", "t: {mode: exact, by: {old: marks}, unit: mm, rows: {minus 2: 1, plus 2: 2, plus 3: 3}}", "t(old)", "table t: nothing plausible reaches the row plus 3 of old"},
	} {
		text := strings.Replace(withTables(c.tables, c.formula), "a: {title: a}", "a: {title: a, plausible: "+c.plausible+"}", 1)
		p, err := ReadProcedure("p.yaml", []byte(text))
		if err != nil {
			t.Errorf("%s: %v", c.formula, err)
			continue
		}
		notes := slices.DeleteFunc(told(Doubtful(p)), func(note string) bool { return !strings.HasPrefix(note, "table ") })
		if got := strings.Join(notes, "; "); got != c.want {
			t.Errorf("%s, plausible %s: got %q, want %q", c.formula, c.plausible, got, c.want)
		}
	}
}

// TestRowBetweenSteps: a row in which no whole step lies is found on load.
func TestRowBetweenSteps(t *testing.T) {
	for tables, want := range map[string]string{
		"t: {mode: row, by: {a: {unit: mm, step: 0.01}}, unit: mm, holes: accepted, rows: {0.00..0.09: 1, 0.101..0.104: 2}}": "p.yaml:11:100: 0.101..0.104 is never reached: the key is rounded to whole steps of 0.01 mm first, and none is there",
		"t: {mode: exact, by: {a: {unit: mm, step: 0.01}}, unit: mm, rows: {0.00: 1, 0.105: 2}}":                             "p.yaml:11:79: 0.105 is never reached: the key is rounded to whole steps of 0.01 mm first, and none is there",
	} {
		if _, err := ReadProcedure("p.yaml", []byte(withTables(tables, "t(a)"))); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// withTables is a procedure that computes a formula of tables.
func withTables(tables, formula string) string {
	return `procedure: tables
title: Tables
unit: mm
measure:
  a: {title: a}
  b: {title: b}
  n: {title: a number, unit: number}
  old: {title: old mark, one_of: [minus 2, plus 2]}
  new: {title: new mark, one_of: [minus 5, plus 5]}
tables:
` + indented(tables) + "values:\n  found: " + formula + "\n"
}
