package evaluate

import (
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// The tables are invented.
const besideTables = `
line: {mode: interpolate, by: {a: mm}, unit: mm, file: line.csv}
grid: {mode: row, by: {a: {unit: mm, step: 0.01}, b: mm}, border: lower row, unit: mm, file: grid.csv}
marks: {mode: exact, by: {old: marks}, unit: mm, file: marks.csv}
`

var besideFiles = map[string]string{
	"line.csv":  "# straight lines\na,value\n1.00,2.00\n\n2.00,4.00\n",
	"grid.csv":  "a;-0.50..0.50;0.50..1.50\n0.00..0.99;0.10;none\n1.00..1.99;0.20;0.30\n",
	"marks.csv": "old,value\n\"minus 2\",0.05\nplus 2,0.08\n",
}

// versionOf is the text of a version, with tables from a map of files.
func versionOf(t *testing.T, text string, files map[string]string) []byte {
	t.Helper()
	version, err := formula.WithTables("shop/p.yaml", []byte(text), func(path string) ([]byte, error) {
		content, ok := files[filepath.Base(path)]
		if !ok || filepath.Dir(path) != "shop" {
			return nil, fs.ErrNotExist
		}
		return []byte(content), nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return version
}

// TestTablesInFilesOfTheirOwn: what a table beside the procedure gives is what it gives
// inside, and the version has both.
func TestTablesInFilesOfTheirOwn(t *testing.T) {
	text := withTables(besideTables, "line(a) + grid(a, b) + marks(old)")
	version := versionOf(t, text, besideFiles)
	e := tried(t, string(version), "a 1.50 mm", "b 1.00 mm", "n 1 1", "old minus 2", "new minus 5")
	if len(e.Sums) != 4 || e.Sums[3].Value != mm("3.35") {
		t.Fatalf("3.00 + 0.30 + 0.05 is %+v; %+v", e.Sums, e.Findings)
	}
	p, err := readProcedure("shop/p.yaml", version)
	if err != nil {
		t.Fatal(err)
	}
	if p.Hash != gauge.HashContent(version) {
		t.Error("the version is not known by all of it")
	}
	changed := map[string]string{}
	for name, content := range besideFiles {
		changed[name] = strings.Replace(content, "4.00", "4.01", 1)
	}
	if string(versionOf(t, text, changed)) == string(version) {
		t.Error("another table is the same version")
	}
	if main, tables := shopfile.Split(version); string(main) != text || len(tables) != 3 || string(tables[1].Content) != besideFiles["grid.csv"] {
		t.Errorf("parted it is\n%s\nand %q", main, tables)
	}
}

// TestTablesWithDecimalCommas: a table with decimal commas, also in the heads of its
// columns and in ranges, gives what one with points gives; marks stay as they are.
func TestTablesWithDecimalCommas(t *testing.T) {
	text := strings.Replace(withTables(besideTables, "line(a) + grid(a, b) + marks(old)"), "plus 2]", `"1,5"]`, 1)
	for name, grid := range map[string]string{
		"semicolons":         "a;-0,50..0,50;0,50..1,50\n0,00..0,99;0,10;none\n1,00..1,99;0,20;0,30\n",
		"semicolons, quotes": "a;\"-0,50..0,50\";\"0,50..1,50\"\n0,00..0,99;0,10;none\n1,00..1,99;0,20;0,30\n",
		"tabs and a remark":  "# decimal: comma\na\t-0,50..0,50\t0,50..1,50\n0,00..0,99\t0,10\tnone\n1,00..1,99\t0,20\t0,30\n",
		"commas and quotes":  "# decimal: comma\na,\"-0,50..0,50\",\"0,50..1,50\"\n\"0,00..0,99\",\"0,10\",none\n\"1,00..1,99\",\"0,20\",\"0,30\"\n",
	} {
		version := versionOf(t, text, map[string]string{
			"line.csv":  "a;value\n1,00;2,00\n2,00;4,00\n",
			"grid.csv":  grid,
			"marks.csv": "old;value\nminus 2;0,05\n1,5;0,08\n1.5;0,09\n",
		})
		e := tried(t, string(version), "a 1.50 mm", "b 1.00 mm", "n 1 1", "old 1,5", "new minus 5")
		if len(e.Sums) != 4 || e.Sums[3].Value != mm("3.38") {
			t.Errorf("%s: 3.00 + 0.30 + 0.08 is %+v; %+v", name, e.Sums, e.Findings)
		}
	}
}

// TestAnUnreadableKeyIsToldOnce: nothing is said of what follows a key that cannot be
// read, and the keys behind it are still compared with each other.
func TestAnUnreadableKeyIsToldOnce(t *testing.T) {
	for name, c := range map[string]struct{ content, want string }{
		"a comma that may be thousands": {"a,\"2,50..2,54\",\"2,55..2,59\"\n0..1,2,3\n1..2,3,4\n", `shop/t.csv:1:3: "2,50..2,54" may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line "# decimal: comma" above the column names
shop/t.csv:1:16: "2,55..2,59" may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line "# decimal: comma" above the column names`},
		"signs that differ": {"a;2,50..2,54;2.55..2.59\n0..1;2;3\n2..3;3;4\n", `shop/t.csv:1:14: "2.55..2.59" has a point, and in line 1 the decimal sign is a comma: write all numbers alike, and nothing between the thousands`},
		"no number": {"a;2..3;4..x;3..5;5..6\n0..1;2;3;4;5\n2..3;3;4;5;6\n", `shop/t.csv:1:8: "x" is not a length: it is not a plain decimal number
shop/t.csv:1:18: 5 mm is served by two rows, 3..5 and 5..6: say border: lower row or border: upper row
shop/t.csv:3:1: there is a hole between 0..1 and 2..3: where rows are written in whole steps, give the key its step, a: {unit: mm, step: ...}; where it is printed so, say holes: accepted`},
	} {
		version := versionOf(t, withTables("t: {mode: row, by: {a: mm, b: mm}, unit: mm, file: t.csv}", "t(a, b)"), map[string]string{"t.csv": c.content})
		if _, err := readProcedure("shop/p.yaml", version); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestTablesBesideProblems: each is told at its place, those of a table in its file.
func TestTablesBesideProblems(t *testing.T) {
	cases := map[string]struct{ tables, name, content, want string }{
		"no file":         {"t: {mode: row, by: {a: {unit: mm, step: 0.01}}, unit: mm, file: t.csv}", "", "", "shop/p.yaml:11:67: the table t.csv is not there: it is a CSV file and lies beside this one, in the directory shop"},
		"a path":          {"t: {mode: row, by: {a: {unit: mm, step: 0.01}}, file: ../t.csv}", "", "", `shop/p.yaml:11:57: "../t.csv" names no table: write the name of a CSV file that lies beside this one, such as chart.csv`},
		"rows too":        {"t: {mode: exact, by: {a: mm}, file: t.csv, rows: {1: 2}}", "t.csv", "a,v\n1,2\n2,3\n", "shop/p.yaml:11:52: the table stands in the file t.csv: leave this out, or leave file out"},
		"another key":     {"t: {mode: exact, by: {a: mm}, file: t.csv}", "t.csv", "b,v\n1,2\n2,3\n", `shop/t.csv:1:1: the line of column names begins with "b"; write a, which is what the rows are looked up by`},
		"hole":            {"t: {mode: row, by: {a: mm}, file: t.csv}", "t.csv", "a,v\n0..1,2\n2..3,3\n", "shop/t.csv:3:1: there is a hole between 0..1 and 2..3: where rows are written in whole steps, give the key its step, a: {unit: mm, step: ...}; where it is printed so, say holes: accepted"},
		"overlap":         {"t: {mode: row, by: {a: mm}, file: t.csv}", "t.csv", "a,v\n0..2,2\n 1..3,3\n", "shop/t.csv:3:2: the rows 0..2 and 1..3 overlap"},
		"twice":           {"t: {mode: exact, by: {old: marks}, file: t.csv}", "t.csv", "old,v\nplus 2,2\nplus 2,3\nminus 2,1\n", `shop/t.csv:3:1: "plus 2" stands here twice`},
		"no number":       {"t: {mode: exact, by: {a: mm}, file: t.csv}", "t.csv", "a,v\n1,two\n2,3\n", `shop/t.csv:2:3: "two" is not a length: it is not a plain decimal number`},
		"empty cell":      {"t: {mode: exact, by: {a: mm, b: mm}, file: t.csv}", "t.csv", "a,1,2\n1,2,3\n2,,3\n", "shop/t.csv:3:3: this cell is empty: write its value, or none where the manual prints none; a reading that falls there is then refused"},
		"three columns":   {"t: {mode: exact, by: {a: mm}, file: t.csv}", "t.csv", "a,v,w\n1,2,3\n2,3,4\n", "shop/t.csv:1:1: the table has one key, so it has two columns, and here are 3"},
		"columns descend": {"t: {mode: exact, by: {a: mm, b: mm}, file: t.csv}", "t.csv", "a,2,1\n1,2,3\n2,3,4\n", "shop/t.csv:1:5: 1 does not follow 2 of the row before: write them in rising order, and look for a slip of the pen"},
	}
	for name, c := range cases {
		version := versionOf(t, withTables(c.tables, "a"), map[string]string{c.name: c.content})
		_, err := readProcedure("shop/p.yaml", version)
		if err == nil || strings.Split(err.Error(), "\n")[0] != c.want {
			t.Errorf("%s: got %v\nwant %s", name, err, c.want)
		}
	}
}

// TestTableNobodyNames: a version has no table that the file does not name.
func TestTableNobodyNames(t *testing.T) {
	text := withTables("t: {mode: exact, by: {a: mm}, rows: {1: 2, 2: 3}}", "t(a)") + "... table x.csv\na,v\n"
	want := "p.yaml:1:1: the table x.csv is kept with this file, and nothing in it says file: x.csv"
	if _, err := readProcedure("p.yaml", []byte(text)); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if _, err := formula.WithTables("p.yaml", []byte(text), nil); err == nil || !strings.HasPrefix(err.Error(), `p.yaml:1:1: a line begins with "... table "`) {
		t.Errorf("a file on disk that is a whole version: %v", err)
	}
}

// TestChartInAFileOfItsOwn: the chart of a part family may lie beside it too.
func TestChartInAFileOfItsOwn(t *testing.T) {
	const text = `family: shells
title: Shells
unit: mm
grades: [{part: red}, {part: blue}]
chart:
  by: {bore: {unit: mm, step: 0.001}}
  file: shells.csv
`
	f, err := procedure.ReadFamily("shop/f.yaml", versionOf(t, text, map[string]string{"shells.csv": "bore,part\n70.000..70.005,red\n70.006..70.010,blue\n"}))
	if err != nil {
		t.Fatal(err)
	}
	if got := f.ChartTable(); len(got) != 2 || got[1][1] != "blue" {
		t.Errorf("the chart is %v", got)
	}
	_, err = procedure.ReadFamily("shop/f.yaml", versionOf(t, text, map[string]string{"shells.csv": "bore,part\n70.000..70.005,red\n70.006..70.010,green\n"}))
	if want := `shop/shells.csv:3:16: there is no part "green" among the grades; write forbidden for what must not come together, and none where nothing is printed`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
