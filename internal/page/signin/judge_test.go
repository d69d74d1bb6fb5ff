package signin

import (
	"testing"
	"time"

	"gauged/internal/gauge"
)

// TestWaitIsInWholeSeconds: who has to wait is told whole seconds, and none too few.
func TestWaitIsInWholeSeconds(t *testing.T) {
	for wait, want := range map[time.Duration]time.Duration{
		10 * time.Millisecond: time.Second, time.Second: time.Second, time.Second + 1: 2 * time.Second, time.Minute: time.Minute,
	} {
		if got, want := tooMany(wait).Error(), gauge.UnknownCaller("refusal.access.wait", gauge.Span("wait", want)).Error(); got != want {
			t.Errorf("%v: %s, want %s", wait, got, want)
		}
	}
}
