package study

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

const dataDir = "../../../testdata/statistics"

// read reads a file of the published data.
func read(t *testing.T, file string, c Columns, roles []Role, only ...string) *Data {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(dataDir, file))
	if err != nil {
		t.Fatal(err)
	}
	table, err := ReadTable(file, content)
	if err != nil {
		t.Fatal(err)
	}
	if len(only) == 2 {
		if err := table.Only(only[0], only[1]); err != nil {
			t.Fatal(err)
		}
	}
	d, err := table.Data(c, roles, roles)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// made reads a table written in the test.
func made(t *testing.T, content string, roles ...Role) *Data {
	t.Helper()
	table, err := ReadTable("made.csv", []byte(content))
	if err != nil {
		t.Fatal(err)
	}
	d, err := table.Data(nil, roles, roles)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func readJSON(t *testing.T, file string, into any) {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(dataDir, file))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(content, into); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
}

// published is one value of a source: its printed digits, empty when it was not
// printed, and the value recomputed from the source's data.
type published struct {
	Name    string
	Printed string
	Value   float64
	Within  float64 `json:"tol_printed"`
	Agrees  *bool   // false when the printed digits do not follow from the data
}

// compare holds every published value of a check against got.
func compare(t *testing.T, id string, got map[string]float64) {
	t.Helper()
	compareWithin(t, id, 1e-9, got)
}

func compareWithin(t *testing.T, id string, relative float64, got map[string]float64) {
	t.Helper()
	var file struct {
		Checks []struct {
			ID       string
			Expected []published
		}
	}
	readJSON(t, "study_checks.json", &file)
	seen := 0
	for _, c := range file.Checks {
		if c.ID != id {
			continue
		}
		for _, want := range c.Expected {
			seen++
			g, ok := got[want.Name]
			if !ok {
				t.Errorf("%s: %s is not computed", id, want.Name)
				continue
			}
			want.compare(t, id, relative, g)
		}
	}
	if seen == 0 || seen != len(got) {
		t.Errorf("%s: %d values computed, %d are published", id, len(got), seen)
	}
}

func (p published) compare(t *testing.T, id string, relative, got float64) {
	t.Helper()
	if !(math.Abs(got-p.Value) <= relative*math.Abs(p.Value)) {
		t.Errorf("%s: %s is %.12g, recomputed %.12g", id, p.Name, got, p.Value)
	}
	if p.Printed == "" || p.Agrees != nil && !*p.Agrees {
		return
	}
	printed, err := strconv.ParseFloat(p.Printed, 64)
	if err != nil {
		t.Fatal(err)
	}
	if !(math.Abs(got-printed) <= p.Within) {
		t.Errorf("%s: %s is %.12g, printed %s", id, p.Name, got, p.Printed)
	}
}

// digits is how many digits got has in common with want.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}
