package statistics

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

const dataDir = "../../testdata/statistics"

func decode(t *testing.T, name string, into any) {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(dataDir, name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(content, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// table returns the columns of a data file: # lines with its source, one line
// of column names, then numbers; an empty field is NaN.
func table(t *testing.T, name string) map[string][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join(dataDir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 {
		t.Fatalf("%s has no values", name)
	}
	columns := map[string][]float64{}
	for _, row := range rows[1:] {
		for i, field := range row {
			v := math.NaN()
			if field != "" {
				if v, err = strconv.ParseFloat(field, 64); err != nil {
					t.Fatalf("%s: %v", name, err)
				}
			}
			columns[rows[0][i]] = append(columns[rows[0][i]], v)
		}
	}
	return columns
}

// published is one value of a source: its printed digits, empty when it was
// not printed, and the value recomputed from the source's data.
type published struct {
	Name    string
	Printed string
	Value   float64
	Within  float64 `json:"tol_printed"`
}

// checks returns the published values of one check by their names.
func checks(t *testing.T, id string) map[string]published {
	t.Helper()
	var file struct {
		Checks []struct {
			ID       string
			Expected []published
		}
	}
	decode(t, "checks.json", &file)
	values := map[string]published{}
	for _, c := range file.Checks {
		if c.ID != id {
			continue
		}
		for _, e := range c.Expected {
			values[e.Name] = e
		}
	}
	if len(values) == 0 {
		t.Fatalf("checks.json has no %s", id)
	}
	return values
}

// compare holds got against the published values, and that none is left out.
func compare(t *testing.T, id string, got map[string]float64) {
	t.Helper()
	want := checks(t, id)
	for name, w := range want {
		g, ok := got[name]
		if !ok {
			t.Errorf("%s: %s is not computed", id, name)
			continue
		}
		if math.Abs(g-w.Value) > 1e-9*math.Abs(w.Value) {
			t.Errorf("%s: %s is %.12g, recomputed %.12g", id, name, g, w.Value)
		}
		if w.Printed == "" {
			continue
		}
		printed, err := strconv.ParseFloat(w.Printed, 64)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(g-printed) > w.Within {
			t.Errorf("%s: %s is %.12g, printed %s", id, name, g, w.Printed)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%s: %d values computed, %d are published", id, len(got), len(want))
	}
}
