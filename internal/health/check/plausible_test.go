package check

import (
	"testing"

	"gauged/internal/gauge"
)

// TestPlausible: degrees Fahrenheit, and uncertainties in a wrong unit, are not believed.
func TestPlausible(t *testing.T) {
	const one, mm = gauge.Length(1e9), gauge.Length(1e9)
	for celsius, fine := range map[gauge.Length]bool{-11: false, -10: true, 20: true, 45: true, 46: false, 68: false, 2000: false} {
		if err := (Temperature{Above: (celsius - 20) * one}).Plausible(); (err == nil) != fine {
			t.Errorf("%d degC: %v", celsius, err)
		}
	}
	if (Temperature{Tolerance: 21 * one}).Plausible() == nil {
		t.Error("a tolerance of 21 K is believed")
	}
	for _, c := range []struct {
		uncertainty, k gauge.Length
		fine           bool
	}{{mm / 5000, 2 * one, true}, {2 * mm, one / 5000, false}, {2 * mm, 2 * one, false}, {mm / 10, 2 * one, true}} {
		m := Master{Value: 100 * mm, Certified: &gauge.Expanded{Uncertainty: c.uncertainty, K: c.k}}
		if c.uncertainty == mm/10 {
			m.Value = mm
		}
		if err := m.PlausibleCertificate(); (err == nil) != c.fine {
			t.Errorf("U %d, k %d: %v", c.uncertainty, c.k, err)
		}
	}
	if Believed(10*mm, 100*mm) == nil || Believed(100*mm+mm/2, 100*mm) != nil {
		t.Error("10 mm at 100 mm, or 100.5 mm")
	}
}
