package letter

import (
	"testing"

	"gauged/internal/gauge"
)

// TestEvents: which facts are events, and that each event is one of some fact.
func TestEvents(t *testing.T) {
	for _, c := range []struct {
		f    gauge.Fact
		want gauge.Event
	}{
		{gauge.Fact{Reading: &gauge.Reading{}}, gauge.EventReading},
		{gauge.Fact{Job: &gauge.JobFact{Kind: "verdict"}}, gauge.EventVerdict},
		{gauge.Fact{Job: &gauge.JobFact{Kind: "started"}}, gauge.EventJob},
		{gauge.Fact{State: &gauge.StateChange{}}, gauge.EventGauge},
		{gauge.Fact{Gauge: &gauge.GaugeFact{Kind: "checked"}}, gauge.EventCheck},
		{gauge.Fact{Gauge: &gauge.GaugeFact{Kind: "check voided"}}, gauge.EventCheck},
		{gauge.Fact{Gauge: &gauge.GaugeFact{Kind: "check begun"}}, ""},
		{gauge.Fact{Access: &gauge.AccessFact{}}, ""},
	} {
		if got := EventOf(c.f); got != c.want {
			t.Errorf("%+v is %q, want %q", c.f, got, c.want)
		}
	}
}
