package table

import (
	"encoding/csv"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// FuzzRead: what the reader of the Go library reads from a plain file is read alike;
// no file breaks the reader, and its problems lie in the file.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{"1,2,3\n", "\"a\"\"b\",\"c\nd\",e\r\n#x\n\n,,\n", " \"a\" , b ,c\n", "1,2\n\"", "a\rb,c,d\n", "\xff,,\n", "1,\x00,3\n", "x\"y,,\n", "\"\r\n\",1,2"} {
		f.Add(seed)
	}
	const header = "a,b,c\n"
	f.Fuzz(func(t *testing.T, body string) {
		got, err := cells(t, header+body)
		lines := 1 + strings.Count(header+body, "\n")
		var p *Problem
		switch {
		case err != nil && err.Error() == "":
			t.Error("a problem without words")
		case err != nil && !errors.As(err, &p):
			t.Errorf("%v has no place", err)
		case p != nil && (p.Line < 1 || p.Line > lines || p.Char < 1 || p.Char > len(body)+len(header)+1):
			t.Errorf("%v lies outside", p)
		}
		if strings.Contains(strings.ReplaceAll(header+body, "\r\n", "\n"), "\r") || strings.Contains(body, "\x00") || !utf8.ValidString(body) || len(body) > longestRow {
			return
		}
		plain := csv.NewReader(strings.NewReader(header + body))
		plain.Comment, plain.TrimLeadingSpace = '#', true
		want, wrong := plain.ReadAll()
		if wrong != nil {
			return
		}
		for i := range want {
			for k := range want[i] {
				want[i][k] = unguarded(strings.TrimSpace(want[i][k]))
			}
		}
		want = slices.DeleteFunc(want, func(row []string) bool { return strings.Join(row, "") == "" })
		for _, row := range got {
			for k := range row {
				row[k] = strings.ReplaceAll(row[k], "\r\n", "\n")
			}
		}
		if len(want) == 1 {
			if err == nil {
				t.Error("no problem in a table without rows")
			}
			return
		}
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %v\n%q\nwant\n%q", body, err, got, want)
		}
	})
}
