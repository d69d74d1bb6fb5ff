package gauge

import (
	"strings"
	"testing"
)

// TestPlausible: a wrong unit or an exchanged column is not believed.
func TestPlausible(t *testing.T) {
	one := func(text string) Length {
		l, err := ParseLength(text, One)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	for text, want := range map[string]string{
		"0": "", "0.02": "", "11.5": "", "30": "", "0.0000115": "expansion-unit", "11500": "highest=30", "-1": "highest=30", "30.1": "highest=30",
	} {
		if err := (Expansion{PerKelvin: one(text)}).Plausible(MostExpansion); (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
	wide := one("31")
	if (Expansion{PerKelvin: one("11.5"), Tolerance: &wide}).Plausible(MostExpansion) == nil {
		t.Error("a tolerance of 31 is believed")
	}
	for text, fine := range map[string]bool{"1": true, "2": true, "10": true, "0.0002": false, "11": false} {
		if err := (Expanded{Uncertainty: 1, K: one(text)}).Plausible(); (err == nil) != fine {
			t.Errorf("k = %s: %v", text, err)
		}
	}
}
