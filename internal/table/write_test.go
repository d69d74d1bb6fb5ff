package table

import (
	"strings"
	"testing"
)

// TestNoFormulas: what a spreadsheet would compute is text, numbers stay numbers, and
// what is read again is what was written.
func TestNoFormulas(t *testing.T) {
	for cell, want := range map[string]string{
		"=HYPERLINK(A1)":     "'=HYPERLINK(A1)",
		"+1+1":               "'+1+1",
		"-2+3|' /C calc'!A0": "'-2+3|' /C calc'!A0",
		"@SUM(A1:A2)":        "'@SUM(A1:A2)",
		"＝1+1":               "'＝1+1",
		" =1+1":              "' =1+1",
		"-":                  "'-",
		"+.":                 "'+.",
		"'=1":                "''=1",
		"\t=1":               "'\t=1",
		"'quoted'":           "'quoted'",
		"-0.030":             "-0.030",
		"+12.5":              "+12.5",
		"0.1":                "0.1",
		"U-0412":             "U-0412",
		"#7":                 "'#7",
		"":                   "",
	} {
		var out strings.Builder
		if err := Write(&out, [][]string{{"unit_serial", "x"}, {cell, "y"}}); err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimSuffix(strings.TrimPrefix(out.String(), "unit_serial,x\n"), ",y\n"); got != want {
			t.Errorf("%q is written as %s, want %s", cell, got, want)
		}
		if got := unguarded(want); got != cell {
			t.Errorf("%q is read as %q", cell, got)
		}
	}
}

// TestWrittenIsReadAgain goes through the reader of tables.
func TestWrittenIsReadAgain(t *testing.T) {
	cells := []string{"#7", "'=1", "-0.030", "@x, y", "+\"z\""}
	var out strings.Builder
	if err := Write(&out, [][]string{{"a", "b", "c", "d", "e"}, cells}); err != nil {
		t.Fatal(err)
	}
	read := New("t.csv", strings.NewReader(out.String()), Form{Others: true})
	for row := range read.Rows() {
		for i, name := range []string{"a", "b", "c", "d", "e"} {
			if got := row.Text(name); got != cells[i] {
				t.Errorf("%q is read as %q", cells[i], got)
			}
		}
	}
	if err := read.Err(); err != nil {
		t.Error(err)
	}
}
