package evaluate

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// stating is withTables with a gauge whose error is known, and limits.
func stating(tables, formula, errorOf, limits string) string {
	text := withTables(tables, formula)
	text = strings.Replace(text, "measure:", "instruments: {g: {error: "+errorOf+"}}\nmeasure:", 1)
	text = strings.Replace(text, "{title: a}", "{title: a, instrument: g}", 1)
	return text + "judge:\n  found: " + limits + "\n"
}

// standardOf is the standard uncertainty of a result.
func standardOf(t *testing.T, e Evaluation, name string) float64 {
	t.Helper()
	for _, b := range e.Budgets {
		if b.Of == name {
			return float64(b.Standard) / float64(gauge.Millimetre.Size())
		}
	}
	return 0
}

// others are the readings that withTables asks for beside a.
var others = []string{"b 1 mm", "n 1 1", "old plus 2", "new plus 5"}

// TestTableSlopes: what is looked up between two rows has the uncertainty of the
// straight line there; what stands in a row has none until another row is within
// reach, and then the whole step either way.
func TestTableSlopes(t *testing.T) {
	line := "chart:\n  mode: interpolate\n  by: {a: mm}\n  rows: {0: 0, 1: 2, 2: 3}\n"
	rows := "chart:\n  mode: row\n  by: {a: {unit: mm, step: 0.01}}\n  rows: {0..0.99: 1, 1..1.99: 1.5, 2..3: 1.5}\n"
	plane := "chart:\n  mode: interpolate\n  by: {a: mm, b: mm}\n  columns: [0, 2]\n  rows:\n    0: [0, 0]\n    1: [2, 4]\n"
	const u = 0.003 / 1.7320508 // of a reading
	cases := []struct {
		name, tables, formula, a string
		want                     float64
		said                     bool
	}{
		{"first line", line, "chart(a)", "0.5", 2 * u, false},
		{"second line", line, "chart(a)", "1.5", u, false},
		{"at the bend the steeper counts", line, "chart(a)", "1", 2 * u, false},
		{"it goes on into a sum", line, "a - chart(a)", "0.5", u, false},
		{"two keys", plane, "chart(a, 1)", "0.5", 3 * u, false},
		{"far from a border", rows, "chart(a)", "0.5", 0, false},
		{"near a border", rows, "chart(a)", "0.994", 0.5 / 1.7320508, true},
		{"a border between rows that give the same", rows, "chart(a)", "1.994", 0, false},
		{"a sum near a border", rows, "a + chart(a)", "0.994", math.Hypot(u, 0.5/1.7320508), true},
		{"rounded, far from a step", rows, "round(a, 0.1)", "0.50", 0, false},
		{"rounded, near a step", rows, "round(a, 0.1)", "0.548", 0.1 / 1.7320508, true},
		{"near a border, in a product", rows, "chart(a) * (1 + a/a)", "0.994", 2 * 0.5 / 1.7320508, true},
		{"rounded, then looked up", rows, "chart(round(a, 0.1))", "0.949", 0.5 / 1.7320508, true},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := tried(t, stating(c.tables, c.formula, "0.003", "{min: -9, max: 9}"), append([]string{"a " + c.a + " mm"}, others...)...)
			if got := standardOf(t, e, "found"); math.Abs(got-c.want) > 0.005*c.want {
				t.Errorf("standard uncertainty %.5f, want %.5f", got, c.want)
			}
			if said := findingOf(e, FindingNearStep); (said != "") != c.said {
				t.Errorf("said %q", said)
			}
		})
	}
}

// TestNearBorderIsUndecided: a result that would be outside in the next row is
// not called right.
func TestNearBorderIsUndecided(t *testing.T) {
	rows := "chart:\n  mode: row\n  by: {a: {unit: mm, step: 0.01}}\n  rows: {0..0.99: 1, 1..1.99: 1.5}\n"
	for a, want := range map[string]Outcome{"0.500": Conforms, "0.994": Undecided, "1.500": DoesNotConform} {
		e := tried(t, stating(rows, "chart(a)", "0.003", "{min: 0, max: 1.2}"), append([]string{"a " + a + " mm"}, others...)...)
		if e.Outcome != want {
			t.Errorf("%s: %s, want %s (%s)", a, e.Outcome, want, findingOf(e, FindingNearStep))
		}
	}
}

// TestIntervalsThroughTables: what a feeler leaves open goes through tables and
// rounding, also where the result does not rise or fall steadily.
func TestIntervalsThroughTables(t *testing.T) {
	hill := "chart:\n  mode: interpolate\n  by: {a: mm}\n  rows: {0: 0, 0.10: 2, 0.20: 1}\n"
	rows := "chart:\n  mode: row\n  by: {a: {unit: mm, step: 0.01}}\n  rows: {0..0.09: 3, 0.10..0.14: 1, 0.15..0.20: 2}\n"
	exactly := "chart:\n  mode: exact\n  by: {a: mm}\n  rows: {0.10: 2, 0.20: 1}\n"
	cases := []struct{ name, tables, formula, a, low, high, said string }{
		{"over a hill", hill, "chart(a)", "0.05..0.15", "1", "2", ""},
		{"through rows", rows, "chart(a)", "0.05..0.16", "1", "3", ""},
		{"rounded down, and what is left", rows, "a - down(a, 0.10)", "0.05..0.25", "-0.15", "0.25", ""},
		{"rounded", rows, "round(a, 0.05)", "0.08..0.12", "0.10", "0.10", ""},
		{"quotient", rows, "b / (2 * chart(a)) * a", "0.11..0.16", "0.0275", "0.08", ""},
		{"exact", exactly, "chart(round(a, 0.1))", "0.08..0.12", "2", "2", ""},
		{"exact, and the ends differ", exactly, "chart(round(a, 0.1))", "0.12..0.18", "", "", "found = chart(round(a, 0.1)): a lies between 0.1 mm and 0.2 mm, and the table chart is read exactly: measure with an indicator."},
		{"an end outside", hill, "chart(a)", "0.15..0.25", "", "", "found = chart(a): a of 0.25 mm is outside the table chart, which goes from 0 to 0.20 and is never extended: check the reading, its unit and that the right faces were measured, then measure again."},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := tried(t, withTables(c.tables, c.formula), append([]string{"a " + c.a + " mm"}, others...)...)
			if said := findingOf(e, FindingNotInTable); said != c.said {
				t.Fatalf("said %q, want %q", said, c.said)
			}
			if c.said != "" {
				return
			}
			s := e.Sums[len(e.Sums)-1]
			low, high := s.Value, s.Value
			if s.Between != nil {
				low, high = *s.Between.Min, *s.Between.Max
			}
			if low != mm(c.low) || high != mm(c.high) {
				t.Errorf("between %s and %s, want %s and %s", low.Text(gauge.Millimetre, 6), high.Text(gauge.Millimetre, 6), c.low, c.high)
			}
		})
	}
}

// TestManyStepsAreQuick: values that use each other twice are looked at once.
func TestManyStepsAreQuick(t *testing.T) {
	var b strings.Builder
	b.WriteString("procedure: p\ntitle: t\nunit: mm\ninstruments: {g: {error: 0.06}}\nmeasure: {v0: {title: a, instrument: g}}\nvalues:\n")
	for i := range 40 {
		fmt.Fprintf(&b, "  v%d: round(v%d, 0.1) - round(v%d/2, 0.1)\n", i+1, i, i)
	}
	for _, shown := range []string{"1.03", "1.03..1.08"} {
		e := tried(t, b.String(), "v0 "+shown+" mm")
		if len(e.Sums) != 40 {
			t.Errorf("%d values", len(e.Sums))
		}
	}
}
