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
