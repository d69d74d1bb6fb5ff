package signs

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the table into docs/fleet.md anew")

// TestTable: every detector over 1000 simulated healthy gauges and 1000 faulty
// ones. It finds a healthy one at fault as rarely as it says, and the table of
// the document holds the figures.
func TestTable(t *testing.T) {
	const runs = 1000
	var table strings.Builder
	table.WriteString("| signature | given | simulated fault | stated false alarms | found false alarms | found faults |\n|---|---|---|---|---|---|\n")
	for _, c := range cases {
		alarms, faults := 0, 0
		for seed := range uint64(runs) {
			if c.finds(t, healthy(seed)) != "" {
				alarms++
			}
			if c.finds(t, c.sick(seed)) == c.kind {
				faults++
			}
		}
		fmt.Fprintf(&table, "| %s | %s | %s | %.1f %% | %.1f %% | %.1f %% |\n", c.kind, c.readers, c.fault, float64(rate)*100, float64(alarms)*100/runs, float64(faults)*100/runs)
		if alarms > 2*runs/100 {
			t.Errorf("%s: %d false alarms in %d, stated are %g", c.kind, alarms, runs, rate)
		}
		if faults < runs/2 {
			t.Errorf("%s: only %d faults of %d are found", c.kind, faults, runs)
		}
	}
	golden(t, "signatures", table.String())
}

func (c signatureCase) finds(t *testing.T, g gaugeSim) Kind {
	t.Helper()
	f, err := c.find(g)
	if err != nil {
		t.Fatalf("%s: %v", c.kind, err)
	}
	return f.Kind
}

// golden compares a table with the one that stands in docs/fleet.md between the
// lines that name it.
func golden(t *testing.T, name, want string) {
	t.Helper()
	const path = "../../../docs/fleet.md"
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	begin, end := "<!-- table "+name+" -->\n", "<!-- end of table "+name+" -->\n"
	before, rest, ok := strings.Cut(string(content), begin)
	table, after, ok2 := strings.Cut(rest, end)
	switch {
	case !ok || !ok2:
		t.Fatalf("%s has no place for table %s", path, name)
	case *update:
		if err := os.WriteFile(path, []byte(before+begin+want+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
	case table != want:
		t.Errorf("table %s of %s is stale (write it anew with -update); it should be\n%s", name, path, want)
	}
}
