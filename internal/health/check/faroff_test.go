package check

import (
	"testing"

	"gauged/internal/gauge"
)

// TestFarOff: ten times the value, inches taken for millimetres, a preset and another
// master are asked back; a gauge that is far beyond any usual limit is not.
func TestFarOff(t *testing.T) {
	for _, c := range []struct {
		reading, value string
		want           bool
	}{
		{"250", "25", true},
		{"0.984", "25", true},
		{"20", "25", true},
		{"26.001", "25", true},
		{"25.9", "25", false},
		{"24.1", "25", false},
		{"0.9", "0", false},
		{"-1.1", "0", true},
		{"0.6", "0.5", false},
		{"0.61", "0.5", true},
		{"101.1", "100", true},
	} {
		reading, value := gauge.MustLength(c.reading, gauge.Millimetre), gauge.MustLength(c.value, gauge.Millimetre)
		if got := FarOff(reading, value); got != c.want {
			t.Errorf("%s at %s: %t", c.reading, c.value, got)
		}
	}
}
