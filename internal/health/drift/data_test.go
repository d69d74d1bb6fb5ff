package drift

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

const dataDir = "../../../testdata/statistics/drift"

// columns returns the numbers of a data file by column; what is no number is NaN.
func columns(t *testing.T, name string) map[string][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join(dataDir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	table := map[string][]float64{}
	for _, row := range rows[1:] {
		for i, field := range row {
			v, err := strconv.ParseFloat(field, 64)
			if err != nil {
				v = math.NaN()
			}
			table[rows[0][i]] = append(table[rows[0][i]], v)
		}
	}
	return table
}

// compare holds got against the published values of one check, and that none is
// left out: against the recomputed value within 1e-9 relative, and against the
// printed digits, where they follow from the source's data, within theirs.
func compare(t *testing.T, id string, got map[string]float64) {
	t.Helper()
	found := 0
	for _, c := range published(t).Checks {
		if c.ID != id {
			continue
		}
		found = len(c.Expected)
		for _, w := range c.Expected {
			g, ok := got[w.Name]
			if !ok {
				t.Errorf("%s: %s is not computed", id, w.Name)
				continue
			}
			if math.Abs(g-w.Value) > 1e-9*math.Abs(w.Value) {
				t.Errorf("%s: %s is %.12g, recomputed %.12g", id, w.Name, g, w.Value)
			}
			if printed, err := strconv.ParseFloat(w.Printed, 64); err == nil && math.Abs(g-printed) > w.Within {
				t.Errorf("%s: %s is %.12g, printed %s", id, w.Name, g, w.Printed)
			}
		}
	}
	if found == 0 || len(got) != found {
		t.Errorf("%s: %d values computed, %d are published", id, len(got), found)
	}
}

type publishedFile struct {
	Checks []struct {
		ID       string
		Expected []struct {
			Name    string
			Printed string
			Value   float64
			Within  float64 `json:"tol_printed"`
		}
	}
	Norris map[string]any
}

func published(t *testing.T) publishedFile {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(dataDir, "checks.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file publishedFile
	if err := json.Unmarshal(content, &file); err != nil {
		t.Fatal(err)
	}
	return file
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.12g, want %.12g within %g", what, got, want, within)
	}
}
