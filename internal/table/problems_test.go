package table

import (
	"bytes"
	"encoding/binary"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf16"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

var update = flag.Bool("update", false, "write the golden file anew")

func utf16Text(text, mark string, order binary.AppendByteOrder) string {
	content := []byte(mark)
	for _, unit := range utf16.Encode([]rune(text)) {
		content = order.AppendUint16(content, unit)
	}
	return string(content)
}

const good = "name,value,unit\n"

// TestProblems: everything that can be wrong with a table, as it is told in each language.
func TestProblems(t *testing.T) {
	long := strings.Repeat("x", 10<<20)
	told := tellings{map[words.Language]*strings.Builder{words.English: {}, words.German: {}}, map[string]bool{}}
	for _, c := range []struct{ name, content string }{
		{"an empty file", ""},
		{"only a byte order mark", "\xef\xbb\xbf"},
		{"only remarks and blank lines", "# nothing\n\n  \n"},
		{"only a line of column names", good},
		{"only blank rows", good + "\n,,\n"},
		{"columns that are not known", "Name,value,unit,Tmep,colour\nA,1,mm,,\n"},
		{"a unit in a column name", "name,Value (mm),unit\nA,1,mm\n"},
		{"a unit in square brackets", "name,value [mm],unit\nA,1,mm\n"},
		{"a column twice", "name,value,unit,Value\nA,1,mm,2\n"},
		{"a column without a name", "name,value,unit,\nA,1,mm,\n"},
		{"missing columns, and one that is not known", "name,wert\nA,1\nB,x\n"},
		{"names separated by two signs", "name;value,unit\nA;1,mm\n"},
		{"names separated by blanks", "name value unit\nA 1 mm\n"},
		{"a control character in a column name", "name,value,unit,\x1b[31m\nA,1,mm,\n"},
		{"rows too short and too long", good + "A,1\nB\nC,0,071,mm\nD,x,mm\n"},
		{"rows too long of a file with semicolons", "name;value;unit\nA;1;mm;\n"},
		{"a quote that is not closed", good + "A,x,mm\n\"B,2,mm\nC,3,mm\n"},
		{"a quote inside a cell", good + "ring 1\",1,mm\nB,x,mm\n"},
		{"text behind a closing quote", good + "\"A\"1,1,mm\nB,x,mm\n"},
		{"a zero byte", good + "A,1\x00,mm\nB,x,mm\n"},
		{"a zero byte in the column names", "name,va\x00lue,unit\nA,1,mm\n"},
		{"Latin-1", good + "Gr\xf6\xdfe,1,mm\nSt\xfcck,2,mm\nB,x,mm\n"},
		{"a byte that is no letter of Latin-1", good + "A \x84quoted\x93,1,mm\n"},
		{"Latin-1 in the column names", "name,value,unit,Gr\xf6\xdfe\nA,1,mm,\n"},
		{"UTF-16, little end first", utf16Text(good, "\xff\xfe", binary.LittleEndian)},
		{"UTF-16, big end first", utf16Text(good, "\xfe\xff", binary.BigEndian)},
		{"UTF-16 without a mark", utf16Text(good, "", binary.LittleEndian)},
		{"a workbook", "PK\x03\x04\x14\x00"},
		{"a line of 10 MB", good + "A," + long + ",mm\nB,x,mm\n"},
		{"a first line of 10 MB", long},
		{"a quoted cell of 10 MB", good + "A,1,\"" + long},
		{"a quoted cell of many lines", good + "A,1,\"" + strings.Repeat("x\n", 5<<20) + "\"\n"},
		{"carriage returns alone", "name,value,unit\rA,1,mm\rB,2,mm\r"},
		{"letters before the place are counted as letters", good + "Größe,x,mm\n  軸受 ,\ty ,mm\n"},
		{"several lines in a cell", good + "\"one\ntwo ä\",x,mm\n"},
		{"a comma that may be thousands", good + "A,\"1,234\",mm\nB,\"1,234\",mm\n"},
		{"decimal signs that differ", "name;value;unit\nA;1,5;mm\nB;1.5;mm\nC;1.234,5;mm\n"},
		{"a comma where a remark says point", "# decimal: point\nname;value;unit\nA;1,5;mm\n"},
		{"a point where a remark says comma", "# decimal: comma\nname;value;unit\nA;1.5;mm\n"},
		{"a comma after a point", "name;value;unit\nA;1.5;mm\nB;1,5;mm\n"},
		{"a text with a semicolon in it", "name;value;unit\nA;1;mm;B\n"},
		{"a tab too many", "name\tvalue\tunit\nA\t1\tmm\t\n"},
		{"no time", good[:len(good)-1] + ",time\nA,1,mm,03/04/2026\n"},
		{"a very long value", good + "A," + strings.Repeat("7", 5000) + "x,mm\n"},
		{"many problems", good + strings.Repeat("A,x,mm\n", 30)},
	} {
		table := New("f.csv", strings.NewReader(c.content), Form{Columns: append(Needed("name", "value", "unit"), Optional("time")...)})
		for row := range table.Rows() {
			Parse(row, "value", func(text string) (float64, error) {
				x, err := strconv.ParseFloat(text, 64)
				if err != nil {
					err = fmt.Errorf("%q is not a number: write it as 0.125", text)
				}
				return x, err
			})
			if row.Text("time") != "" {
				Parse(row, "time", Time)
			}
		}
		told.add(t, c.name, table.Err())
	}
	broken := iotest.ErrReader(errors.New("broken"))
	for i, name := range []string{"a file that cannot be read", "a file that breaks off"} {
		content := []io.Reader{broken, io.MultiReader(strings.NewReader(good), broken)}
		table := New("f.csv", content[i], Form{Columns: Needed("name", "value", "unit")})
		for range table.Rows() {
			t.Errorf("%s has rows", name)
		}
		told.add(t, name, table.Err())
	}
	renamed := New("f.csv", strings.NewReader("day,deviation\n1,2\n"), Form{Columns: Needed("time"), Names: map[string]string{"time": "date"}, Others: true, Renamed: "say which it is with --column %s=NAME"})
	renamed.Need("error", "")
	needed := New("f.csv", strings.NewReader("day\n1\n"), Form{Others: true})
	needed.Need("error", "write how far the gauge was off")
	told.add(t, "a column that was said to be there", renamed.Err())
	told.add(t, "a column that is needed here", needed.Err())
	told.compare(t)
}

// tellings are problems as they are told in each language, and their codes.
type tellings struct {
	texts map[words.Language]*strings.Builder
	codes map[string]bool
}

// add takes the problems of a table. In English they read as the error does.
func (all *tellings) add(t *testing.T, name string, err error) {
	t.Helper()
	if err == nil {
		t.Errorf("%s: no problem was found", name)
		return
	}
	m := gauge.Told(err)
	all.count(m)
	for l, out := range all.texts {
		said, wrong := words.In(l).Text(m)
		if wrong != nil || l == words.English && len(err.Error()) < longest && said != err.Error() {
			t.Errorf("%s: %q, %v, and the error is %q", name, said, wrong, err)
		}
		fmt.Fprintf(out, "== %s\n%s\n", name, said)
	}
}

// count notes the codes of a message.
func (all *tellings) count(m gauge.Message) {
	all.codes[m.Code] = true
	var each func(args []gauge.Arg)
	each = func(args []gauge.Arg) {
		for _, a := range args {
			all.codes[a.Word] = true
			if each(a.List); a.Message != nil {
				all.count(*a.Message)
			}
		}
	}
	each(m.Args)
}

// compare holds the texts against the golden files, and finds codes that no case tells.
func (all *tellings) compare(t *testing.T) {
	t.Helper()
	for l, out := range all.texts {
		golden := "testdata/problems." + string(l) + ".golden"
		if *update {
			if err := os.WriteFile(golden, []byte(out.String()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(want, []byte(out.String())) {
			t.Errorf("the problems are not those of %s:\n%s", golden, out.String())
		}
	}
	content, err := os.ReadFile("../words/messages/files.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`(?m)^(file\.[a-z0-9.-]+):`).FindAllStringSubmatch(string(content), -1) {
		if !all.codes[m[1]] {
			t.Errorf("no case tells %s", m[1])
		}
	}
}
