package evaluate

import (
	"math"
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestExactDeviation takes NumAcc3 of the NIST Statistical Reference Datasets
// as lengths in um: nothing is rounded before the differences from the first
// reading, so all certified digits come out.
func TestExactDeviation(t *testing.T) {
	var m Measurement
	for line := range strings.Lines(string(read(t, "../../testdata/statistics/strd/NumAcc3.csv"))) {
		if line = strings.TrimSpace(line); line != "y" && !strings.HasPrefix(line, "#") {
			m.Readings = append(m.Readings, procedure.Reading{Value: gauge.MustLength(line, gauge.Micrometre)})
		}
	}
	sd, ok := m.StdDev()
	if !ok || len(m.Readings) != 1001 || math.Abs(sd*1e6-0.1) > 1e-14 {
		t.Errorf("deviation of %d readings %.17g um, certified 0.1 of 1001", len(m.Readings), sd*1e6)
	}
}

func TestDeviationNeedsTwoReadings(t *testing.T) {
	m := Measurement{Readings: []procedure.Reading{{Value: 1}, {Value: 9, Discarded: "slipped"}}}
	if _, ok := m.StdDev(); ok {
		t.Error("one reading that counts has no deviation")
	}
}
