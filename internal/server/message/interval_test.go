package message

import (
	"testing"

	"gauged/internal/gauge"
)

// TestInterval: a reading that is an interval has both ends for programs; one that is none has no upper end.
func TestInterval(t *testing.T) {
	r := gauge.Reading{Gauge: "feeler", Shown: "0.20..0.25", Unit: gauge.Millimetre, Value: gauge.MustLength("0.20", gauge.Millimetre)}
	m := Reading(gauge.Fact{Reading: &r})
	if m.GetValue().GetText() != "0.20" || m.GetValue().GetPicometres() != 200_000_000 || m.GetUpper().GetText() != "0.25" || m.GetUpper().GetPicometres() != 250_000_000 {
		t.Errorf("the interval is %v", m)
	}
	r.Shown = "0.20"
	if m := Reading(gauge.Fact{Reading: &r}); m.GetUpper() != nil || m.GetValue().GetText() != "0.20" {
		t.Errorf("the reading is %v", m)
	}
}
