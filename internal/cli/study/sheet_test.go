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
	s := &sheet{gauge: "dial", kind: study.BiasKind, tolerance: "0.1", remarks: []string{"discarded: row 1, 5.01 mm"}, rows: []sheetRow{
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

// TestToleranceOfASheet: its width is sent in the unit of the readings, and no reading is
// taken that cannot be compared with it.
func TestToleranceOfASheet(t *testing.T) {
	for tolerance, want := range map[string]string{"0.1": "0.1", "100um": "0.1", "0.1 mm": "0.1", "0.01in": "0.254", "": ""} {
		s := &sheet{gauge: "dial", kind: study.BiasKind, tolerance: tolerance, rows: []sheetRow{{reference: "5", trial: "1"}}}
		if err := s.put(0, "5.01", "mm", "1043"); err != nil {
			t.Error(err)
		}
		in, err := s.request()
		if err != nil || in.GetSettings().GetTolerance() != want {
			t.Errorf("%q: %v, %v", tolerance, in.GetSettings(), err)
		}
	}
	s := &sheet{tolerance: "0.1 mm", rows: []sheetRow{{reference: "5", trial: "1"}}}
	if err := s.put(0, "5.01", "N m", ""); err == nil || err.Error() != "the reading is in N m, the tolerance 0.1 mm is a length: it is not taken" {
		t.Error(err)
	}
}
