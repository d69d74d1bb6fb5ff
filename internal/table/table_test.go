package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

// cells reads a table whole, with its column names.
func cells(t *testing.T, content string) ([][]string, error) {
	t.Helper()
	table := New("f.csv", strings.NewReader(content), Form{Others: true})
	all := [][]string{table.Names()}
	for row := range table.Rows() {
		var texts []string
		for _, cell := range row.Cells() {
			texts = append(texts, cell.Text)
		}
		all = append(all, texts)
	}
	return all, table.Err()
}

func TestWhatPythonWrites(t *testing.T) {
	content, err := os.ReadFile("testdata/written/want.json")
	if err != nil {
		t.Fatal(err)
	}
	var want [][]string
	if err := json.Unmarshal(content, &want); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("testdata/written/*.csv")
	if err != nil || len(files) != 36 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		content, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := cells(t, string(content)); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v\n%q\nwant\n%q", file, err, got, want)
		}
	}
}

func TestWhatGoWrites(t *testing.T) {
	want := [][]string{
		{"a", "b c", "d"},
		{"1", `"`, "x,y;z"},
		{"", "two\nlines\n", `#""`},
		{"ä", "\t\tin", ""},
	}
	for _, comma := range []rune{',', ';', '\t'} {
		for _, crlf := range []bool{false, true} {
			var file bytes.Buffer
			w := csv.NewWriter(&file)
			w.Comma, w.UseCRLF = comma, crlf
			if err := w.WriteAll(want); err != nil {
				t.Fatal(err)
			}
			got, err := cells(t, file.String())
			if err != nil || len(got) != len(want) {
				t.Fatalf("%q: %v, %q", comma, err, got)
			}
			for i := range got {
				for k := range got[i] {
					read := strings.ReplaceAll(got[i][k], "\r\n", "\n")
					if read != strings.TrimSpace(want[i][k]) {
						t.Errorf("%q %v: %q, want %q", comma, crlf, read, want[i][k])
					}
				}
			}
		}
	}
}

// TestNames: names are one, however they are written.
func TestNames(t *testing.T) {
	form := Form{Columns: append(Needed("unit_serial", "value"), Optional("time")...), Names: map[string]string{"time": "Day of check"}}
	for _, header := range []string{"unit_serial,value,day of check", "Unit Serial,VALUE,DAY-OF-CHECK", " UNIT-SERIAL ;\"Value\"; Day_of check", "unit\u00a0serial\tvalue\tday of  check"} {
		separator := string(header[strings.IndexAny(header, ",;\t")])
		table := New("f.csv", strings.NewReader(header+"\n A 1 "+separator+"7"+separator+"x\n"), form)
		rows := 0
		for row := range table.Rows() {
			if rows++; row.Text("unit_serial") != "A 1" || row.Number("value") != "7" || row.Text("time") != "x" || row.Has("other") || row.Text("other") != "" || row.Line() != 2 {
				t.Errorf("%q: %q %q %q", header, row.Text("unit_serial"), row.Number("value"), row.Text("time"))
			}
		}
		if err := table.Err(); err != nil || rows != 1 || !table.OK() {
			t.Errorf("%q: %v, %d rows", header, err, rows)
		}
	}
}

// TestOthers: columns that are not known are kept where the form allows them.
func TestOthers(t *testing.T) {
	table := New("f.csv", strings.NewReader("Temp,error,reading\n20,1,2\n"), Form{Columns: Optional("error", "reading"), Names: map[string]string{"error": "READING"}, Others: true})
	for row := range table.Rows() {
		if row.Text("error") != "2" || row.Text("temp") != "20" || row.Has("reading") {
			t.Errorf("%q %q", row.Text("error"), row.Text("temp"))
		}
	}
	if got := table.Others(); table.Err() != nil || !reflect.DeepEqual(got, []string{"Temp", "error"}) {
		t.Errorf("%q, %v", got, table.Err())
	}
}

// TestDecimalSign: a comma is read where the file says that it is the sign, else never.
func TestDecimalSign(t *testing.T) {
	for _, c := range []struct {
		file, want string // numbers with blanks between; or the problem
	}{
		{"x\n1.5\n2\n-.5\n", "1.5 2 -.5"},
		{"x;y\n1,5;\n-,25;\n3;\n", "1.5 -.25 3"},
		{"x;y\n0,15..0,20;\n1,5e-3;\n", "0.15..0.20 1.5e-3"},
		{"x;y\n1.5;\n", "1.5"},
		{"# Decimal: Comma;;\nx\ty\n1,5\t\n", "1.5"},
		{"# decimal: comma\nx,y\n\"1,5\",\n", "1.5"},
		{"x,y\n\"1,234\",\n", `f.csv:2:1: column x: "1,234" may be a number with a decimal comma, or thousands`},
		{"x\ty\n1,234\t\n", `f.csv:2:1: column x: "1,234" may be`},
		{"x\n1,234\n", "f.csv:2:3: the line has 2 cells, 1 more than there are column names: write a point"},
		{"x;y\n1.234;\n1,5;\n", `f.csv:3:1: column x: "1,5" has a comma, and in line 2 the decimal sign is a point`},
		{"x;y\n1,5;\n1.234;\n", `f.csv:3:1: column x: "1.234" has a point, and in line 2 the decimal sign is a comma`},
		{"x;y\n1.234,5;\n", `f.csv:2:1: column x: "1.234,5" has more than one decimal sign`},
		{"x;y\n1,234,567;\n", `f.csv:2:1: column x: "1,234,567" has more than one`},
		{"# decimal: point\nx;y\n1,5;\n", `f.csv:3:1: column x: "1,5" has a comma, and a remark`},
		{"# decimal: comma\nx;y\n1.5;\n", `f.csv:3:1: column x: "1.5" has a point, and a remark`},
		{"x;y\n# decimal: comma\n1.5;\n", "1.5"},
	} {
		table := New("f.csv", strings.NewReader(c.file), Form{Columns: Optional("x", "y")})
		var numbers []string
		for row := range table.Rows() {
			if number := row.Number("x"); row.OK() {
				numbers = append(numbers, number)
			}
		}
		got := strings.Join(numbers, " ")
		if err := table.Err(); err != nil {
			got = err.Error()
		}
		if wrong := strings.HasPrefix(c.want, "f.csv"); got != c.want && !(wrong && strings.HasPrefix(got, c.want)) {
			t.Errorf("%q: %s\nwant %s", c.file, got, c.want)
		}
	}
}

// TestParse: what a parser refuses is a problem of its cell, told once; the other
// cells of the row and the other rows are read.
func TestParse(t *testing.T) {
	table := New("f.csv", strings.NewReader("n;m;remark\n1;2;\nä;x;\n3;y;\n1,5;4;\n"), Form{Columns: Needed("n", "m", "remark")})
	sum := 0
	for row := range table.Rows() {
		n, m := Parse(row, "n", strconv.Atoi), Parse(row, "m", strconv.Atoi)
		if row.OK() {
			sum += n + m
		} else {
			row.Wrong("m", errors.New("a second problem of a cell"))
			row.Wrong("nothing", errors.New("no such column"))
		}
	}
	want := "f.csv:3:1: column n: strconv.Atoi: parsing \"ä\": invalid syntax\n" +
		"f.csv:3:1: no such column\n" +
		"f.csv:3:3: column m: strconv.Atoi: parsing \"x\": invalid syntax\n" +
		"f.csv:4:1: no such column\n" +
		"f.csv:4:3: column m: strconv.Atoi: parsing \"y\": invalid syntax\n" +
		"f.csv:5:1: column n: strconv.Atoi: parsing \"1.5\": invalid syntax\n" +
		"f.csv:5:1: no such column\n" +
		"f.csv:5:5: column m: a second problem of a cell"
	if err := table.Err(); sum != 3 || err == nil || err.Error() != want {
		t.Errorf("%d, %v\nwant %s", sum, err, want)
	}
	var p *Problem
	if !errors.As(table.Err(), &p) || p.Line != 3 || p.Char != 1 || p.Column != "n" || !errors.Is(table.Err(), strconv.ErrSyntax) {
		t.Errorf("%+v", p)
	}
}

// TestStops: a consumer may end; a table that breaks off says so.
func TestStops(t *testing.T) {
	table := New("f.csv", strings.NewReader("a\n1\n2\n"), Form{Others: true})
	for range table.Rows() {
		break
	}
	if err := table.Err(); err != nil {
		t.Error(err)
	}
	half := New("f.csv", io.MultiReader(strings.NewReader("name\n1\n2\n"), iotest.ErrReader(io.ErrUnexpectedEOF)), Form{Others: true})
	rows := 0
	for range half.Rows() {
		rows++
	}
	if err := half.Err(); rows != 2 || !errors.Is(err, io.ErrUnexpectedEOF) || !strings.HasPrefix(err.Error(), "f.csv:4:1: the file cannot be read to its end: ") {
		t.Error(rows, err)
	}
	broken := New("f.csv", iotest.TimeoutReader(iotest.OneByteReader(strings.NewReader("a\n1\n2\n"))), Form{Others: true})
	for range broken.Rows() {
		t.Error("a row of a header that could not be read")
	}
	if err := broken.Err(); !errors.Is(err, iotest.ErrTimeout) || !strings.HasPrefix(err.Error(), "f.csv:1:1: the file cannot be read: ") {
		t.Error(err)
	}
}

func TestTime(t *testing.T) {
	for text, want := range map[string]string{
		"2026-03-31":                "2026-03-31T00:00:00Z",
		"2026-03-31 14:05":          "2026-03-31T14:05:00Z",
		"2026-03-31 14:05:07":       "2026-03-31T14:05:07Z",
		"2026-03-31T14:05:00+02:00": "2026-03-31T12:05:00Z",
	} {
		if got, err := Time(text); err != nil || got.Format(time.RFC3339) != want {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "31.03.2026", "03/04/2026", "2026-02-30", "0026-03-31", "2026-03-31T14:05:00", "20260331"} {
		if got, err := Time(text); err == nil || !strings.Contains(err.Error(), "is not a time: write 2026-03-31") {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
}

// TestWrittenNames: heads such as -3 and 3 are two columns where names are taken as they
// are written, and each has its place.
func TestWrittenNames(t *testing.T) {
	const text = "old, -3,3\nA,1,2\n"
	written := New("t.csv", strings.NewReader(text), Form{Others: true, Written: true})
	for row := range written.Rows() {
		if got := row.Cells(); len(got) != 3 || got[2] != (Cell{"2", 2, 5}) {
			t.Errorf("the row is %v", got)
		}
	}
	if heads := written.Heads(); written.Err() != nil || len(heads) != 3 || heads[1] != (Cell{"-3", 1, 6}) {
		t.Errorf("heads %v, %v", heads, written.Err())
	}
	if err := New("t.csv", strings.NewReader(text), Form{Others: true}).Err(); err == nil {
		t.Error("columns that differ by a hyphen alone are two")
	}
}

// TestTablesOfSpreadsheets: a first line that names the separator is no line of column names,
// and a date with points is no number that says what the decimal sign is.
func TestTablesOfSpreadsheets(t *testing.T) {
	table := New("t.csv", strings.NewReader("sep=;\ntime;error\n01.02.2025;0,5\n"), Form{Columns: Needed("time", "error")})
	for r := range table.Rows() {
		if got := r.Number("time") + " " + r.Number("error"); got != "01.02.2025 0.5" {
			t.Error(got)
		}
	}
	if err := table.Err(); err != nil {
		t.Error(err)
	}
}
