package history_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/historytest"
)

// TestAReadThatIsGivenUp never looks like one that has found nothing, whenever it is given up.
func TestAReadThatIsGivenUp(t *testing.T) {
	s := historytest.Open(t)
	var facts []gauge.Fact
	for seq := range uint64(3000) {
		facts = append(facts, gauge.Fact{Seq: seq + 1, State: &gauge.StateChange{Gauge: "dial", Time: start, State: gauge.StateLive}})
	}
	mustAppend(t, s, facts...)
	given, whole := 0, 0
	for n := range 400 {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(n%100)*20*time.Microsecond)
		got, err := s.FactsWithin(ctx, 0, 1000, 1<<20)
		cancel()
		switch {
		case err == nil && len(got) == 1000:
			whole++
		case errors.Is(err, context.DeadlineExceeded):
			given++
		default:
			t.Fatalf("%d facts, %v", len(got), err)
		}
	}
	t.Logf("%d given up, %d whole", given, whole)
	if given == 0 {
		t.Error("none was given up")
	}
}
