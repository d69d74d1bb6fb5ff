package signs

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// TestLookTable: a station looks at the histories of 2000 healthy gauges and of 200 with
// each fault. The table of the document holds the figures.
func TestLookTable(t *testing.T) {
	const healthy, faulty = 2000, 200
	alarms := map[Kind]int{}
	for seed := range uint64(healthy) {
		l := failing{Rand: rand.New(rand.NewPCG(seed, 30))}.looker()
		for kind := range seen(l) {
			alarms[kind]++
		}
		for _, s := range l.signs {
			if !s.Refused.IsZero() {
				t.Fatalf("%s of a healthy gauge is not judged: %s", s.Kind, s.Refused)
			}
		}
	}
	var table strings.Builder
	table.WriteString("| signature | from | simulated fault | stated false alarms | found false alarms | found faults |\n|---|---|---|---|---|---|\n")
	for i, c := range signCases {
		faults := 0
		for seed := range uint64(faulty) {
			c.g.Rand = rand.New(rand.NewPCG(seed, uint64(40+i)))
			if seen(c.g.looker())[c.kind] {
				faults++
			}
		}
		fmt.Fprintf(&table, "| %s | %s | %s | %.2f %% | %.2f %% (%d) | %.1f %% |\n", c.kind, c.from, c.fault, float64(signRate)*100, float64(alarms[c.kind])*100/healthy, alarms[c.kind], float64(faults)*100/faulty)
		if alarms[c.kind] > 6 { // of 2 expected, or fewer; 7 or more have a chance of one in 200
			t.Errorf("%s: %d false alarms in %d looks", c.kind, alarms[c.kind], healthy)
		}
		if faults < faulty/2 {
			t.Errorf("%s (%s): only %d faults of %d are found", c.kind, c.fault, faults, faulty)
		}
	}
	golden(t, "signs of the daemon", table.String())
}
