package procedure

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

func mm(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }

// kitOf is a family file with the given lines under its unit.
func kitOf(lines ...string) string {
	return "family: kit\ntitle: t\nunit: mm\n" + strings.Join(lines, "\n") + "\n"
}

// manyRows is a family file of so many sound rows.
func manyRows(n int) string {
	var b strings.Builder
	b.WriteString(kitOf("grades:"))
	for i := range n {
		fmt.Fprintf(&b, "  - {part: p%d, thickness: %d.%03d}\n", i, 1+i/1000, i%1000)
	}
	return b.String()
}

// TestWrongNumbersInRows: one problem for each mistake, and none that only
// follows from it.
func TestWrongNumbersInRows(t *testing.T) {
	cases := []struct{ thickness, want string }{
		{"NaN", `kit.yaml:6:26: "NaN" is not a length: it is not a plain decimal number`},
		{".inf", `kit.yaml:6:26: ".inf" is not a length: it is not a plain decimal number`},
		{"1e400", `kit.yaml:6:26: "1e400" is not a length: it is not a plain decimal number`},
		{"0x10", `kit.yaml:6:26: "0x10" is not a length: it is not a plain decimal number`},
		{"1.05 mm", `kit.yaml:6:26: "1.05 mm" is not a length: it is not a plain decimal number: write the number alone, 1.05; it is in mm`},
		{`"1,05"`, `kit.yaml:6:26: "1,05" is not a length: the decimal sign must be a point, not a comma: write 1.05 (mm)`},
		{"1.0000000001", `kit.yaml:6:26: "1.0000000001" has too many digits: it has 10 decimals, and a length is kept to a picometre, 9 decimals in mm or in and 6 in um; leave out what no gauge shows`},
		{"10000000", `kit.yaml:6:26: "10000000" is not a length: it is larger than one kilometre`},
		{"0", "kit.yaml:6:26: 0 must be greater than zero"},
		{"-1.05", "kit.yaml:6:26: -1.05 must be greater than zero"},
		{"10.5", "kit.yaml:6:26: 10.5 mm stands beside 1.1 mm: the file is in mm; look for a slip of the pen"},
		{"1", "kit.yaml:6:26: 1 mm does not follow 1 mm of the row before: write the rows in rising order, and look for a slip of the pen"},
		{"{min: 1.06, max: 1.04}", "kit.yaml:6:26: min 1.06 is greater than max 1.04"},
		{"{min: -1, max: 1.1}", "kit.yaml:6:32: -1 must be greater than zero"},
		{"{min: 1.05}", `kit.yaml:6:26: "max" is missing`},
		{"{mm: 1.05, in: 0.413}", "kit.yaml:6:41: 0.413 in is ten times too large for the mm column: 1.05 mm is 0.0413 in"},
		{"{mm: 0.0413, in: 1.05}", "kit.yaml:6:26: 0.0413 mm stands beside 1 mm: the file is in mm; look for a slip of the pen\n" +
			"kit.yaml:6:43: 0.0413 in is as long as 1.05 mm: the two columns are swapped"},
		{"{mm: 1.05, in: 0.051}", "kit.yaml:6:41: 0.051 in does not agree with the mm column, which says 0.041 in: find out which of them is right"},
		{"1.05, tolerance: NaN", `kit.yaml:6:43: "NaN" is not a length: it is not a plain decimal number`},
		{"1.05, tolerance: 0", "kit.yaml:6:43: 0 must be greater than zero"},
		{"1.05, stock: 1e400", `kit.yaml:6:39: "1e400" is not a whole number from 0 to 1000000`},
	}
	for _, c := range cases {
		content := kitOf("grades:", "  - {part: a, thickness: 1}", "  - {part: b, thickness: "+c.thickness+"}", "  - {part: c, thickness: 1.1}")
		t.Run(c.thickness, func(t *testing.T) {
			_, err := ReadFamily("kit.yaml", []byte(content))
			checkError(t, err, c.want)
		})
	}
}

// TestFamilyBounds: a file that is no part table gets a short answer.
func TestFamilyBounds(t *testing.T) {
	deep := strings.Repeat("[", 500_000)
	cases := []struct{ name, content, want string }{
		{"a million grades", kitOf("grades:") + strings.Repeat("  - {part: a, thickness: 1}\n", 1_000_000), "kit.yaml:1:1: the file has 28000038 bytes; at most 1048576 are read"},
		{"50 megabytes", strings.Repeat("# remark\n", 50<<20/9), "kit.yaml:1:1: the file has 52428798 bytes; at most 1048576 are read"},
		{"too many grades", manyRows(2000 + 1), "kit.yaml:5:3: the family has 2001 grades; at most 2000 are possible"},
		{"deep nesting", kitOf("grades: " + deep + strings.ReplaceAll(deep, "[", "]")), "kit.yaml:4:10009: the file cannot be read as YAML: exceeded max depth of 10000"},
		{"many references", kitOf("a: &a [x, x]", "b: &b [*a, *a]", "grades: *b"), `kit.yaml:4:1: "a" is not a key here; the keys are border, by_marks, chart, family, grades, holes, row_step, second_column, series, source, steps, title, unit` + "\n" +
			`kit.yaml:5:1: "b" is not a key here; the keys are border, by_marks, chart, family, grades, holes, row_step, second_column, series, source, steps, title, unit` + "\n" +
			"kit.yaml:6:9: anchors and aliases are not used in these files: write the value out"},
		{"two documents", kitOf("grades: []", "---", "family: g"), "kit.yaml:1:1: the file has more than one document: take the line --- between them out, and what stands below it"},
		{"not UTF-8", kitOf("source: \xe4\xe4"), "kit.yaml:4:9: this character is not UTF-8 (in Latin-1 it would be \"ä\"): save the file as UTF-8"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadFamily("kit.yaml", []byte(c.content))
			checkError(t, err, c.want)
		})
	}
	if f, err := ReadFamily("kit.yaml", []byte(manyRows(2000))); err != nil || len(f.Grades) != 2000 {
		t.Errorf("the largest family: %v", err)
	}
}

func TestSeries(t *testing.T) {
	cases := []struct{ series, first, second, last string }{
		{"{from: 1.40, to: 2.20, step: 0.05, tolerance: 0.01}", "1.40", "1.45", "2.20"},
		{"{from: 1, to: 1.5, step: 0.25}", "1.00", "1.25", "1.50"},
		{"{from: 0.2, to: 0.3, step: {mm: 0.0254, in: 0.001}}", "", "", ""},
		{"{from: {mm: 2.54, in: 0.1}, to: 2.5654, step: {mm: 0.0254, in: 0.001}}", "2.5400", "2.5654", "2.5654"},
		{"{from: 2, to: 2, step: 0.1}", "2.0", "", "2.0"},
	}
	for _, c := range cases {
		f, err := ReadFamily("kit.yaml", []byte(kitOf("series: "+c.series)))
		if c.first == "" {
			checkError(t, err, "kit.yaml:4:25: 0.3 mm is not reached from 0.2 mm in steps of 0.0254 mm")
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.series, err)
			continue
		}
		first, last := f.Grades[0], f.Grades[len(f.Grades)-1]
		if first.Part != c.first || last.Part != c.last || c.second != "" && f.Grades[1].Part != c.second {
			t.Errorf("%s: from %s to %s", c.series, first.Part, last.Part)
		}
		for _, g := range f.Grades {
			if *g.Thickness != mm(g.Part) || strings.Contains(c.series, "tolerance") && *g.Tolerance != mm("0.01") {
				t.Errorf("%s: %s is %d thick", c.series, g.Part, *g.Thickness)
			}
		}
	}
}

func TestSeriesProblems(t *testing.T) {
	cases := []struct{ series, want string }{
		{"{from: 2.2, to: 1.4, step: 0.05}", "kit.yaml:4:9: from 2.2 is greater than to 1.4"},
		{"{from: 1.4, to: 2.22, step: 0.05}", "kit.yaml:4:25: 2.22 mm is not reached from 1.4 mm in steps of 0.05 mm"},
		{"{from: 0, to: 1, step: -1}", "kit.yaml:4:16: 0 must be greater than zero\nkit.yaml:4:32: -1 must be greater than zero"},
		{"{from: 1, to: 1000000, step: 0.001}", "kit.yaml:4:9: the series has 999999001 grades; at most 2000 are possible"},
		{"{from: 1, to: 2, step: 0.1, tolerance: 0.2}", "kit.yaml:4:48: the tolerance of 0.2 mm is larger than the step of 0.1 mm: such grades cannot be told apart; look for a slip of the pen"},
		{"{from: 1, to: NaN}", `kit.yaml:4:9: "step" is missing` + "\n" + `kit.yaml:4:23: "NaN" is not a length: it is not a plain decimal number`},
		{"[1, 2]", "kit.yaml:4:9: a mapping (key: value) is needed here"},
		{"{from: 1, to: 2, step: 1}\ngrades: []", "kit.yaml:5:9: give the grades, or a series, not both"},
	}
	for _, c := range cases {
		t.Run(c.series, func(t *testing.T) {
			_, err := ReadFamily("kit.yaml", []byte(kitOf("series: "+c.series)))
			checkError(t, err, c.want)
		})
	}
}

// BenchmarkReadFamily reads the largest family.
func BenchmarkReadFamily(b *testing.B) {
	content := []byte(manyRows(2000))
	b.SetBytes(int64(len(content)))
	for b.Loop() {
		if _, err := ReadFamily("kit.yaml", content); err != nil {
			b.Fatal(err)
		}
	}
}

func checkError(t *testing.T, err error, want string) {
	t.Helper()
	if err == nil {
		t.Fatalf("no error, want\n%s", want)
	}
	if got := err.Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
