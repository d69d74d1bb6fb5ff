package jobs

import (
	"slices"
	"testing"
)

// TestWanderIsEstimated: from a year of a bench, as a multiple of the model's. A gauge
// that drifts is a fault and no wander of the others.
func TestWanderIsEstimated(t *testing.T) {
	for _, c := range []struct {
		name      string
		true      float64
		fault     bool
		low, high float64 // of the median of benches
	}{{"as the model says", 1, false, 1, 1.3}, {"three times as much", 3, false, 2.3, 3.7}, {"six times as much", 6, false, 4.5, 7.5}, {"one drifts", 1, true, 1, 1.6}} {
		var found []float64
		for seed := range uint64(15) {
			s := aBench(365)
			s.checkEvery, s.wander = 30, c.true
			if c.fault {
				s.fault = func(g string, day float64) float64 {
					if g == "depth-1" {
						return max(0, day-100) * um
					}
					return 0
				}
			}
			residuals, anchors, _ := s.run(seed)
			site := estimate(t, s.model, residuals, anchors, s.end())
			found = append(found, site.Tracks[0].Wander)
			if c.fault && len(site.Alarms) == 0 {
				t.Errorf("%s, %d: the fault is not found", c.name, seed)
			}
		}
		slices.Sort(found)
		if median := found[len(found)/2]; median < c.low || median > c.high {
			t.Errorf("%s: the wander is estimated as %.2f times the model's: %v", c.name, median, found)
		}
	}
}

func TestHuber(t *testing.T) {
	for z, want := range map[float64]float64{0: 0, 2: 4, 3: 9, 5: 21} { // 3 (2*5 - 3)
		if got := huber(z, 3); got != want {
			t.Errorf("of %g: %g, want %g", z, got, want)
		}
	}
}
