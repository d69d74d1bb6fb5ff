package evaluate

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// withTables is a procedure that computes one value from tables; the tables are
// invented where no source stands beside them.
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

func indented(text string) string {
	return "  " + strings.ReplaceAll(strings.TrimSpace(text), "\n", "\n  ") + "\n"
}

// TestAMarkThatIsNoneOfAStepNamesThem: so that the right one need not be looked for.
func TestAMarkThatIsNoneOfAStepNamesThem(t *testing.T) {
	text := strings.Replace(withTables("", "a"), "one_of: [minus 5, plus 5]", "one_of: [minus 5, plus 5], when: {old: minus 3}", 1)
	if _, err := readProcedure("p.yaml", []byte(text)); err == nil || !strings.Contains(err.Error(), `"minus 3" is not among those of old: use minus 2, plus 2`) {
		t.Error(err)
	}
}

// tried evaluates readings given as "name value unit".
func tried(t *testing.T, written string, readings ...string) Evaluation {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte(written))
	if err != nil {
		t.Fatal(err)
	}
	var in compute.Input
	for _, text := range readings {
		name, rest, _ := strings.Cut(text, " ")
		shown, symbol, hasUnit := strings.Cut(rest, " ")
		s, _, _ := p.Step(name)
		if len(s.Codes) > 0 {
			shown, hasUnit = rest, false
		}
		unit := gauge.UnitUnknown
		if hasUnit {
			if unit, err = gauge.ParseUnit(symbol); err != nil {
				t.Fatal(err)
			}
		}
		r, err := p.Typed(name, shown, unit)
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := Evaluate(p, nil, in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

const chart = `
chart:
  mode: MODE
  by: {a: mm, b: mm}
  columns: [1.00, 2.00, 4.00]
  rows:
    0.10: [2.00, 2.10, 2.30]
    0.20: [2.20, 2.40, none]
    0.40: [2.60, 3.00, 3.80]
`

// TestTableAsAValue: what a table gives goes on into a sum, exactly.
func TestTableAsAValue(t *testing.T) {
	single := "chart:\n  mode: MODE\n  by: {a: mm}\n  rows: {0.10: 2.00, 0.20: 2.20, 0.40: 2.80}\n"
	byRow := "chart:\n  mode: row\n  by: {a: {unit: mm, step: 0.01}}\n  rows: {..0.09: 1.90, 0.10..0.14: 2.00, 0.15..0.19: 2.10, 0.20..: 2.20}\n"
	border := "chart:\n  mode: row\n  border: upper row\n  by: {n: number}\n  unit: mm\n  rows: {0..5: 1.00, 5..10: 2.00}\n"
	variance := "variance:\n  mode: exact\n  by: {old: marks, new: marks}\n  columns: [minus 5, plus 5]\n  rows:\n    minus 2: [-0.03, 0.07]\n    plus 2: [-0.07, 0.03]\n"
	cases := []struct{ name, tables, formula, readings, want, said string }{
		{"exact", strings.Replace(single, "MODE", "exact", 1), "b - chart(a)", "a 0.20 mm; b 5.00 mm", "2.8", ""},
		{"exact, a third of a row away", strings.Replace(single, "MODE", "exact", 1), "b - chart(a)", "a 0.21 mm; b 5.00 mm", "", "found = b - chart(a): a of 0.21 mm does not stand in the table chart, which is read exactly: check the reading, then measure again."},
		{"exact after rounding", strings.Replace(single, "MODE", "exact", 1), "b - chart(round(a, 0.1))", "a 0.21 mm; b 5.00 mm", "2.8", ""},
		{"interpolated", strings.Replace(single, "MODE", "interpolate", 1), "b - chart(a)", "a 0.35 mm; b 5.00 mm", "2.35", ""},
		{"at the end of a table", strings.Replace(single, "MODE", "interpolate", 1), "chart(a)", "a 0.40 mm", "2.8", ""},
		{"outside", strings.Replace(single, "MODE", "interpolate", 1), "chart(a)", "a 0.41 mm", "", "found = chart(a): a of 0.41 mm is outside the table chart, which goes from 0.10 to 0.40 and is never extended: check the reading, its unit and that the right faces were measured, then measure again."},
		{"by row", byRow, "chart(a)", "a 0.17 mm", "2.1", ""},
		{"by row, to the step", byRow, "chart(a)", "a 0.146 mm", "2.1", ""},
		{"by row, half to even", byRow, "chart(a)", "a 0.145 mm", "2", ""},
		{"an open row", byRow, "chart(a)", "a 9 mm", "2.2", ""},
		{"a border", border, "chart(n)", "n 5 1", "2", ""},
		{"two keys, interpolated", strings.Replace(chart, "MODE", "interpolate", 1), "chart(a, b)", "a 0.15 mm; b 1.50 mm", "2.175", ""},
		{"two keys, exact", strings.Replace(chart, "MODE", "exact", 1), "chart(a, b) + 1", "a 0.40 mm; b 4.00 mm", "4.8", ""},
		{"a cell without print", strings.Replace(chart, "MODE", "interpolate", 1), "chart(a, b)", "a 0.15 mm; b 3 mm", "", "found = chart(a, b): the table chart prints nothing at a 0.20, b 4.00: check the readings, then measure again."},
		{"marks", variance, "a + variance(old, new)", "a 0.76 mm; old minus 2; new plus 5", "0.83", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			readings := strings.Split(c.readings, "; ")
			for _, all := range []string{"a 1 mm", "b 1 mm", "n 1 1", "old plus 2", "new plus 5"} {
				name, _, _ := strings.Cut(all, " ")
				if !strings.Contains(c.readings, name+" ") {
					readings = append(readings, all)
				}
			}
			e := tried(t, withTables(c.tables, c.formula), readings...)
			if said := findingOf(e, FindingNotInTable); said != c.said || (c.said != "") != (e.Outcome == MeasureAgain) {
				t.Fatalf("%s, said %q, want %q", e.Outcome, said, c.said)
			}
			if c.want == "" {
				return
			}
			if got := e.Sums[len(e.Sums)-1].Value; got != gauge.MustLength(c.want, gauge.Millimetre) {
				t.Errorf("found %s, want %s", got.Text(gauge.Millimetre, 6), c.want)
			}
		})
	}
}

// TestTableProblems: what is wrong with a table is told when it is loaded.
func TestTableProblems(t *testing.T) {
	cases := []struct{ tables, formula, want string }{
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2, 3: }}", "t(a)", "p.yaml:11:49: this cell is empty: write its value, or none where the manual prints none; a reading that falls there is then refused"},
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2, 3: 4, 2: 5}}", "t(a)", "p.yaml:11:52: 2 does not follow 3 of the row before: write them in rising order, and look for a slip of the pen"},
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2, 1: 4}}", "t(a)", `p.yaml:11:46: "1" stands here twice`},
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2, 1.0: 4}}", "t(a)", "p.yaml:11:46: 1.0 does not follow 1 of the row before: write them in rising order, and look for a slip of the pen"},
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2}}", "t(a)", "p.yaml:11:39: give at least two rows: a single value is a constant"},
		{"t: {mode: row, by: {a: mm}, rows: {0..1: 2, 1..2: 3}}", "t(a)", "p.yaml:11:47: 1 mm is served by two rows, 0..1 and 1..2: say border: lower row or border: upper row"},
		{"t: {mode: row, by: {a: mm}, rows: {0.10..0.14: 2, 0.15..0.19: 3}}", "t(a)", "p.yaml:11:53: there is a hole between 0.10..0.14 and 0.15..0.19: where rows are written in whole steps, give the key its step, a: {unit: mm, step: ...}; where it is printed so, say holes: accepted"},
		{"t: {mode: row, by: {a: mm}, rows: {0..2: 2, 1..3: 3}}", "t(a)", "p.yaml:11:47: the rows 0..2 and 1..3 overlap"},
		{"t: {mode: exact, by: {a: mm, b: mm}, columns: [1, 2], rows: {1: [1, 2], 2: [3]}}", "t(a, b)", "p.yaml:11:78: the row has 1 of the 2 values that the columns want: where the manual prints none, write none"},
		{"t: {mode: exact, by: {a: mm, b: mm}, rows: {1: 1, 2: 2}}", "t(a, b)", `p.yaml:11:6: "columns" is missing`},
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2, 2: {mm: 5.08, in: 0.02}}}", "t(a)", "p.yaml:11:64: 0.02 in is ten times too small for the mm column: 5.08 mm is 0.200 in"},
		{"t: {mode: exact, by: {a: N}, rows: {1: 2, 2: 3}}", "t(a)", `p.yaml:13:10: "t(a)" cannot be computed: the table t is looked up by a, which is a force; a length stands at character 3`},
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2, 2: 3}}", "t", `p.yaml:13:10: "t" cannot be computed: t is a table: write what it is looked up by in parentheses, t(...), at character 1`},
		{"t: {mode: exact, by: {a: mm}, rows: {1: 2, 2: 3}}", "t(a, b)", `p.yaml:13:10: "t(a, b)" cannot be computed: the table t at character 1 is looked up by a`},
		{"t: {mode: exact, by: {old: marks}, rows: {plus 2: 2, plus 5: 3}}", "t(old)", `p.yaml:13:10: "t(old)" cannot be computed: the table t has no row for the mark "minus 2" of old`},
		{"t: {mode: row, by: {old: marks}, rows: {plus 2: 2, minus 2: 3}}", "t(old)", "p.yaml:11:28: marks are looked up exactly: say mode: exact"},
		{"t: {last_digit: 0.01, rows: {0-2: 0, 3-7: 5, 8-9: next 0}}", "t(a)", "p.yaml:11:19: say what becomes of finer digits: finer: cut off, or finer: rounded"},
		{"t: {last_digit: 0.01, finer: cut off, rows: {0-2: 0, 4-7: 5, 8-9: next 0}}", "t(a)", `p.yaml:11:56: "4-7" does not follow: write the digits from 0 to 9 in order, such as 0-2, 3-7, 8-9; next is 3`},
		{"t: {last_digit: 0.01, finer: cut off, rows: {0-2: 0, 3-7: 5}}", "t(a)", "p.yaml:11:47: the digits from 8 to 9 are missing"},
		{"t: {last_digit: 0.01, finer: cut off, rows: {0-2: 0, 3-7: 5, 8-9: 0}}", "t(a)", `p.yaml:11:69: "0" is less than the row before gives: look for a slip of the pen`},
		{"t: {mode: exact, by: {a: mm}, unit: cubits, rows: {1: 2, 2: 3}}", "t(a)", "p.yaml:11:39: "},
	}
	for _, c := range cases {
		_, err := readProcedure("p.yaml", []byte(withTables(c.tables, c.formula)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s\n got %v\nwant %s", c.tables, err, c.want)
		}
	}
}

// TestRounding: to a step, to the nearest (half away from zero), toward zero, up
// and down; and rules for the last digit.
func TestRounding(t *testing.T) {
	digits := "stamped: {last_digit: 0.01, finer: FINER, rows: {0-2: 0, 3-7: 5, 8-9: next 0}}\nfives: {last_digit: 0.01, finer: cut off, rows: {0: 0, 1-4: 0, 5-9: 5}}"
	cases := []struct{ formula, a, want string }{
		{"round(a, 0.05)", "2.425", "2.45"},
		{"round(a, 0.05)", "-2.425", "-2.45"},
		{"round(a, 0.05)", "2.4249", "2.40"},
		{"truncate(a, 0.01)", "2.439", "2.43"},
		{"truncate(a, 0.01)", "-2.439", "-2.43"},
		{"up(a, 0.05)", "2.401", "2.45"},
		{"up(a, 0.05)", "-2.401", "-2.40"},
		{"up(a, 0.05)", "2.40", "2.40"},
		{"down(a, 0.05)", "2.449", "2.40"},
		{"down(a, 0.05)", "-2.401", "-2.45"},
		{"round(a/3, 0.001)", "1", "0.333"},
		{"a + round(1.26, 0.1)", "1", "2.3"},
		{"stamped(a)", "2.42", "2.40"},
		{"stamped(a)", "2.43", "2.45"},
		{"stamped(a)", "2.47", "2.45"},
		{"stamped(a)", "2.48", "2.50"},
		{"stamped(a)", "2.98", "3.00"},
		{"stamped(a)", "2.429", "2.40"},
		{"stamped(a)", "-2.48", "-2.50"},
		{"fives(a)", "1.234", "1.20"},
		{"fives(a)", "1.239", "1.20"},
		{"fives(a)", "1.255", "1.25"},
	}
	for _, c := range cases {
		e := tried(t, withTables(strings.Replace(digits, "FINER", "cut off", 1), c.formula), "a "+c.a+" mm", "b 1 mm", "n 1 1", "old plus 2", "new plus 5")
		if got := e.Sums[len(e.Sums)-1].Value; got != gauge.MustLength(c.want, gauge.Millimetre) {
			t.Errorf("%s of %s is %s, want %s", c.formula, c.a, got.Text(gauge.Millimetre, 6), c.want)
		}
	}
	e := tried(t, withTables(strings.Replace(digits, "FINER", "rounded", 1), "stamped(a)"), "a 2.425 mm", "b 1 mm", "n 1 1", "old plus 2", "new plus 5")
	if got := e.Sums[0].Value; got != mm("2.45") {
		t.Errorf("2.425 with finer digits rounded: %s", got.Text(gauge.Millimetre, 6))
	}
}

func TestRoundingProblems(t *testing.T) {
	for formula, want := range map[string]string{
		"round(a)":        "round at character 1 takes a value and a step, such as round(a, 0.05)",
		"up(a, 0)":        "the step of up at character 1 must be above zero",
		"down(a, -0.05)":  "the step of down at character 1 must be above zero",
		"truncate(a, n)":  "a length and a number cannot be added or compared (character 1)",
		"round(a*a, 0.1)": "the bare number at character 12 has no unit where another quantity is needed: give it a name and a unit under constants",
	} {
		_, err := readProcedure("p.yaml", []byte(withTables("t: {mode: exact, by: {a: mm}, rows: {1: 2, 2: 3}}", formula)))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", formula, err, want)
		}
	}
}

// TestWhatATableGaveIsWritten: a table in the middle of a sum has a line of its
// own, once, before the sum.
func TestWhatATableGaveIsWritten(t *testing.T) {
	tables := "chart:\n  mode: interpolate\n  by: {a: mm}\n  rows: {0.10: 2.00, 0.20: 2.20}\nby_mark:\n  mode: exact\n  by: {old: marks}\n  rows: {minus 2: -0.03, plus 2: 0.05}\n"
	e := tried(t, withTables(tables, "b - chart(a) + 2*chart(a) + by_mark(old)\n  again: chart(a)"), "a 0.15 mm", "b 5 mm", "n 1 1", "old plus 2", "new plus 5")
	var lines []string
	for _, s := range e.Sums {
		lines = append(lines, s.Name+" = "+s.Worked+" = "+s.Value.Text(s.Unit, 3))
	}
	want := []string{
		"chart = chart(0.150) = 2.100",
		"by_mark = by_mark(plus 2) = 0.050",
		"found = 5.000 - chart(0.150) + 2*chart(0.150) + by_mark(plus 2) = 7.150",
		"again = chart(0.150) = 2.100",
	}
	if strings.Join(lines, "\n") != strings.Join(want, "\n") {
		t.Errorf("%s", strings.Join(lines, "\n"))
	}
}

// TestIntervalsHoldWhatIsInside: whatever lies between the ends of a reading gives
// a value between the ends of the result, through tables and rounding.
func TestIntervalsHoldWhatIsInside(t *testing.T) {
	const tables = "hill:\n  mode: interpolate\n  by: {a: mm}\n  rows: {0: 0, 0.10: 2, 0.20: 1, 0.30: 3}\n" +
		"rows:\n  mode: row\n  by: {a: {unit: mm, step: 0.01}}\n  rows: {..0.09: 3, 0.10..0.14: 1, 0.15..: 2}\n" +
		"digit: {last_digit: 0.01, finer: cut off, rows: {0-2: 0, 3-7: 5, 8-9: next 0}}"
	formulas := []string{"a - down(a, 0.1)", "hill(a) - a", "hill(smallest(a, 0.15)) * 2 - rows(a)", "abs(a - round(a, 0.05)) / 2", "digit(a) + up(a, 0.02)", "range(a, hill(a)) - digit(hill(a))"}
	rapid.Check(t, func(rt *rapid.T) {
		formula := rapid.SampledFrom(formulas).Draw(rt, "formula")
		low := rapid.IntRange(0, 299).Draw(rt, "low")
		high := rapid.IntRange(low+1, 300).Draw(rt, "high")
		inside := rapid.IntRange(low, high).Draw(rt, "inside")
		value := func(shown string) Sum {
			e := tried(t, withTables(tables, formula), append([]string{"a " + shown + " mm"}, others...)...)
			if len(e.Sums) == 0 {
				rt.Fatalf("%+v", e.Findings)
			}
			return e.Sums[len(e.Sums)-1]
		}
		thousandths := func(n int) string { return fmt.Sprintf("%d.%03d", n/1000, n%1000) }
		whole, point := value(thousandths(low)+".."+thousandths(high)), value(thousandths(inside))
		least, most := whole.Value, whole.Value
		if whole.Between != nil {
			least, most = *whole.Between.Min, *whole.Between.Max
		}
		if point.Value < least || point.Value > most {
			rt.Fatalf("%s at %d of %d..%d is %d, outside %d to %d", formula, inside, low, high, point.Value, least, most)
		}
	})
}

// TestTablesOfTables: a value that is looked up by itself again and again gets
// digits without end; it is refused before it fills the memory.
func TestTablesOfTables(t *testing.T) {
	text := "procedure: p\ntitle: t\nunit: mm\nmeasure: {v0: {title: a}}\ntables:\n  plane: {mode: interpolate, by: {a: mm, b: mm}, columns: [0, 3], rows: {0: [0, 1], 3: [1, 2.9]}}\nvalues:\n"
	for i := range 60 {
		text += fmt.Sprintf("  v%d: plane(v%d, v%d)\n", i+1, i, i)
	}
	p, err := readProcedure("p.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Typed("v0", "1.234567", gauge.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Evaluate(p, nil, compute.Input{Readings: []procedure.Reading{r}}); !errors.Is(err, formula.ErrEndless) {
		t.Errorf("got %v", err)
	}
}
