package show

import "testing"

// TestProbabilitiesAreRoundedAsInTheFindings: 0.9105 is 91.1 % in a finding, which a
// float just below it must not make 91.0 % in a table.
func TestProbabilitiesAreRoundedAsInTheFindings(t *testing.T) {
	for p, want := range map[float64]string{0.9105: "91.1 %", 0.0105: "1.1 %", 0.5: "50 %", 0.9999: "over 99.9 %", 0.0001: "under 0.1 %", 0: "0 %", 1: "100 %"} {
		if got := ProbabilityText(&p); got != want {
			t.Errorf("%v: %s, want %s", p, got, want)
		}
	}
}
