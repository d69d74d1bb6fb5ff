package recall

import (
	"testing"

	"gauged/internal/gauge"
)

// TestOnlyAClosingDimensionIsDecidedByItsLimits: a job that has none has no probability
// of it, and nothing is said of its gauges.
func TestOnlyAClosingDimensionIsDecidedByItsLimits(t *testing.T) {
	var l List
	if l.Add(Item{Job: 1}); l.ByLimits != 0 {
		t.Error("a job without a closing dimension is decided by its limits")
	}
	if l.Add(Item{Job: 2, Measured: new(gauge.Length)}); l.ByLimits != 1 {
		t.Error("nothing is known of the gauge of job 2")
	}
}
