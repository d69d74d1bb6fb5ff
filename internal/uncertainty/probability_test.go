package uncertainty

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestProbabilityIsReadBack: every probability is read as it was written, and
// nothing is read that is not written.
func TestProbabilityIsReadBack(t *testing.T) {
	for p := Probability(0); p <= Certain; p++ {
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		back := Probability(-1)
		if err := json.Unmarshal(text, &back); err != nil || back != p {
			t.Fatalf("%d is written %s and read as %d, %v", p, text, back, err)
		}
	}
	for _, text := range []string{"", "1", "0.5", "0.50000", "1.0001", "2.0000", "-0.0001", "+0.1234", ".12345", "0,1234", "0.1 34", "00.1234", `"0.1234"`, "1e0000", "0x0001", "0.1_34", "null"} {
		p := Probability(-1)
		if err := p.UnmarshalJSON([]byte(text)); err == nil || p != -1 || !strings.Contains(err.Error(), "is no probability") {
			t.Errorf("%q is read as %d, %v", text, p, err)
		}
	}
}
