package health

import (
	"testing"
	"time"

	"gauged/internal/health/check"
)

// TestTrendsAreApart: two trends that follow from one say nothing of each other, though
// a check of one is taken after the other was made.
func TestTrendsAreApart(t *testing.T) {
	at := func(seq uint64) *check.Record {
		return &check.Record{Seq: seq, Time: time.Date(2026, 3, 1, int(seq), 0, 0, 0, time.UTC)}
	}
	var base *Trend
	for seq := uint64(1); seq <= 3; seq++ {
		base = base.add(at(seq), float64(seq))
	}
	one := base.copy().add(at(10), 10)
	if base.copy().add(at(20), 20); one.Uses()[10] != 10 || one.Uses()[20] != 0 {
		t.Errorf("the trend has the uses of another: %v", one.Uses())
	}
}
