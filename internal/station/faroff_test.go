package station

import (
	"errors"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// TestFarOffIsAskedBack: a reading at a master that is off by a factor or a unit is taken
// into a check once somebody says that it is meant; it does not make the gauge suspect before.
func TestFarOffIsAskedBack(t *testing.T) {
	for _, shown := range []string{"2500", "2.5", "0.984", "26.5"} {
		r := newRig(t)
		ask := CheckRequest{Gauge: "micrometer", By: "q", Found: []CheckPoint{{Master: "block", Typed: typed("25.001", shown)}}}
		_, err := r.RecordCheck(t.Context(), ask)
		if !errors.Is(err, gauge.ErrRefused) || gauge.Told(err).Code != "refusal.check.far-off" {
			t.Errorf("%s mm at a block of 25 mm: %v", shown, err)
		}
		if h, err := r.Health("micrometer"); err != nil || h.Checks != 0 {
			t.Errorf("%s mm: %+v, %v", shown, h, err)
		}
		ask.Found, ask.Left = []CheckPoint{{Master: "block", Typed: typed("25.001")}}, ask.Found
		if _, err := r.RecordCheck(t.Context(), ask); gauge.Told(err).Code != "refusal.check.far-off" {
			t.Errorf("%s mm as left: %v", shown, err)
		}
		ask.Confirmed = true
		if c, err := r.RecordCheck(t.Context(), ask); err != nil || c.Left.Verdict == check.Pass {
			t.Errorf("%s mm that are meant: %+v, %v", shown, c, err)
		}
	}
}
