package signs

import (
	"slices"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// TestRoundMasters: a gauge that is read by eye and was checked at seven blocks of round sizes,
// with readings that end in 0 first, has not lost its last digit. It has no battery and no
// electronics that count.
func TestRoundMasters(t *testing.T) {
	step := micron
	l := &looker{History: History{Gauge: Gauge{Mode: gauge.ModeTyped, Ability: gauge.Ability{Resolution: &step}}}}
	for i := range 7 {
		size := gauge.Length(i+1) * 1000 * micron
		point := check.Point{Master: check.Master{ID: "block", Value: size}, Readings: []gauge.Length{size, size + micron, size + 2*micron}}
		l.Checks = append(l.Checks, failing{}.record(l.Gauge.Ability, i, point))
		for _, v := range point.Readings {
			l.Readings = append(l.Readings, &gauge.Reading{Value: v})
		}
	}
	if s := sign(t, l, LostResolution); s.Found {
		t.Errorf("%+v", s)
	}
	if slices.ContainsFunc(l.signs, func(s Sign) bool { return s.Kind == LowBattery || s.Kind == MissedCounts }) {
		t.Errorf("asked of a gauge that is read by eye: %+v", l.signs)
	}
}
