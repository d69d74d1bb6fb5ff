package table

import (
	"bytes"
	"encoding/binary"
	"flag"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"
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

// TestProblems: everything that can be wrong with a table, as it is told.
func TestProblems(t *testing.T) {
	long := strings.Repeat("x", 10<<20)
	var out strings.Builder
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
		{"a very long value", good + "A," + strings.Repeat("7", 5000) + "x,mm\n"},
		{"many problems", good + strings.Repeat("A,x,mm\n", 30)},
	} {
		fmt.Fprintf(&out, "== %s\n", c.name)
		table := New("f.csv", strings.NewReader(c.content), Form{Columns: append(Needed("name", "value", "unit"), Optional("time")...)})
		for row := range table.Rows() {
			Parse(row, "value", func(text string) (float64, error) {
				x, err := strconv.ParseFloat(text, 64)
				if err != nil {
					err = fmt.Errorf("%q is not a number: write it as 0.125", text)
				}
				return x, err
			})
		}
		if table.Err() == nil {
			t.Errorf("%s: no problem was found", c.name)
			continue
		}
		fmt.Fprintln(&out, table.Err())
	}
	renamed := New("f.csv", strings.NewReader("day,deviation\n1,2\n"), Form{Columns: Needed("time"), Names: map[string]string{"time": "date"}, Others: true, Renamed: "say which it is with --column %s=NAME"})
	renamed.Need("error", "")
	needed := New("f.csv", strings.NewReader("day\n1\n"), Form{Others: true})
	needed.Need("error", "write how far the gauge was off")
	fmt.Fprintf(&out, "== a column that was said to be there\n%v\n== a column that is needed here\n%v\n", renamed.Err(), needed.Err())

	const golden = "testdata/problems.golden"
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
