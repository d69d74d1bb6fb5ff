package study

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"gauged/internal/health/study"
)

// TestSheetOfAnotherProgram: a sheet that a spreadsheet program wrote again, with
// semicolons, decimal commas and remarks filled up with empty cells, goes on.
func TestSheetOfAnotherProgram(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sheet.csv")
	s := &sheet{gauge: "dial", kind: study.BiasKind, tolerance: "0.1", remarks: []string{"taken back: row 1, 5.01 mm"}, rows: []sheetRow{
		{trial: "1", reference: "5", value: "5.002", unit: "mm", seq: "17"},
		{trial: "2", reference: "5", unit: "mm"},
	}}
	if err := s.save(path); err != nil {
		t.Fatal(err)
	}
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, as := range []func(string) string{
		func(s string) string { return s },
		func(s string) string {
			s = strings.NewReplacer(",", ";", "5.002", "5,002").Replace(s)
			return "\ufeff" + strings.Replace(strings.ReplaceAll(s, "\n", "\r\n"), "# gauge: dial", "# gauge: dial;;;;", 1)
		},
	} {
		if err := os.WriteFile(path, []byte(as(string(content))), 0o600); err != nil {
			t.Fatal(err)
		}
		read, err := readSheet(path)
		if err != nil || !read.same(s) || !reflect.DeepEqual(read.rows, s.rows) {
			t.Errorf("%q: %v\n%+v\nwant\n%+v", as(string(content)), err, read, s)
		}
	}
}
