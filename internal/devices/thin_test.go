package devices

import (
	"testing"
	"time"

	"gauged/internal/gauge"
)

func TestThinnerLosesNoCount(t *testing.T) {
	counts := map[gauge.Reason]uint64{}
	events := 0
	thin := newThinner(func(e Event) { counts[e.Reject.Reason] += e.Count; events++ }, thinWindow, thinFirst)
	now := time.Unix(0, 0)
	for i := range 3000 {
		now = now.Add(time.Millisecond)
		thin.add(gauge.Reject{Reason: gauge.Reasons[i%2]}, now)
	}
	thin.flush()
	if counts[gauge.ReasonNoise] != 1500 || counts[gauge.ReasonHalfFrame] != 1500 {
		t.Errorf("counted %v", counts)
	}
	if events > 3*2*(thinFirst+1) {
		t.Errorf("%d events in three seconds", events)
	}
}
