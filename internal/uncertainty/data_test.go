package uncertainty

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

const dataDir = "../../testdata"

func readJSON(t *testing.T, name string, into any) {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(dataDir, name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(content, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// readTable returns the rows of a data file: # lines with its source, one line
// of column names, then numbers; an empty field is NaN, and so is infinity's word.
func readTable(t *testing.T, name string) []map[string]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join(dataDir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]float64
	for _, line := range lines[1:] {
		row := map[string]float64{}
		for i, field := range line {
			v := math.NaN()
			if field != "" {
				if v, err = strconv.ParseFloat(field, 64); err != nil {
					t.Fatalf("%s: %v", name, err)
				}
			}
			row[lines[0][i]] = v
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		t.Fatalf("%s has no values", name)
	}
	return rows
}

// readColumns is readTable by columns.
func readColumns(t *testing.T, name string) map[string][]float64 {
	t.Helper()
	columns := map[string][]float64{}
	for _, row := range readTable(t, name) {
		for column, v := range row {
			columns[column] = append(columns[column], v)
		}
	}
	return columns
}

// compare holds got against the published values of a check: 1e-9 of the
// recomputed one, and within its tolerance of the printed one where that
// follows from its own data. None may be left out.
func compare(t *testing.T, id string, got map[string]float64) {
	t.Helper()
	want := publishedValues(t, id)
	for _, w := range want {
		g, ok := got[w.Name]
		if !ok {
			t.Errorf("%s: %s is not computed", id, w.Name)
			continue
		}
		if !(math.Abs(g-w.Value) <= 1e-9*math.Abs(w.Value)) {
			t.Errorf("%s: %s is %.12g, recomputed %.12g", id, w.Name, g, w.Value)
		}
		if w.Printed == "" || w.Agrees != nil && !*w.Agrees {
			continue
		}
		printed, err := strconv.ParseFloat(w.Printed, 64)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(g-printed) > w.Within {
			t.Errorf("%s: %s is %.12g, printed %s", id, w.Name, g, w.Printed)
		}
	}
	if len(want) != len(got) {
		t.Errorf("%s: %d values computed, %d are published", id, len(got), len(want))
	}
}

// published is one value of a source: its printed digits, empty when it was
// not printed, the value recomputed from the source's data, and whether the
// printed one follows from them, which is so where nothing else is said.
type published struct {
	Name    string
	Printed string
	Value   float64
	Within  float64 `json:"tol_printed"`
	Agrees  *bool
}

// publishedValues returns the values of one check, which must be there.
func publishedValues(t *testing.T, id string) (values []published) {
	t.Helper()
	for _, name := range []string{"uncertainty/checks.json", "statistics/checks.json"} {
		var file struct {
			Checks []struct {
				ID       string
				Expected []published
			}
		}
		readJSON(t, name, &file)
		for _, c := range file.Checks {
			if c.ID == id {
				values = append(values, c.Expected...)
			}
		}
	}
	if len(values) == 0 {
		t.Fatalf("no check %s is published", id)
	}
	return values
}

// near fails when got is not within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.12g, it should be %.12g within %g", what, got, want, tolerance)
	}
}

func combine(t testing.TB, inputs []Input, sensitivities ...float64) Budget {
	t.Helper()
	b, err := Combine(inputs, sensitivities)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// FreedomFromReliability gives the degrees of freedom of a standard uncertainty
// that is itself known to the given fraction of its value, 0.25 for 25 %
// (JCGM 100, G.4.2). A fraction of 0 has infinite freedom.
func FreedomFromReliability(fraction float64) float64 { return 1 / (2 * fraction * fraction) }
