package station

import (
	"fmt"
	"slices"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health/signs"
)

// TestSigns: a gauge whose last digit is always 0 or 5, in service and checked
// both ways, beside one that is healthy.
func TestSigns(t *testing.T) {
	r := newRig(t)
	r.Station.mu.Lock()
	for _, id := range []string{"strict", "probe"} {
		step := gauge.MustLength("0.001", gauge.Millimetre)
		r.Station.gauges[id].Ability.Resolution = &step
	}
	r.Station.mu.Unlock()
	for i := range 60 {
		r.press("strict", fmt.Sprintf("%.3f", 25+0.005*float64(i*7%31)), gauge.Millimetre)
		r.press("probe", fmt.Sprintf("%.3f", 25+0.001*float64(i*7%31)), gauge.Millimetre)
	}
	found := func(id string) map[signs.Kind]bool {
		t.Helper()
		looked, err := r.Signs(t.Context(), id)
		if err != nil || len(looked) < 3 {
			t.Fatal(looked, err)
		}
		all := map[signs.Kind]bool{}
		for _, s := range looked {
			if all[s.Kind] = s.Found; s.Found && s.Detail.IsZero() {
				t.Errorf("%s without a word", s.Kind)
			}
		}
		return all
	}
	if !found("strict")[signs.LostResolution] || found("probe")[signs.LostResolution] {
		t.Errorf("strict %v, probe %v", found("strict"), found("probe"))
	}
	for i := range 8 {
		up := r.at("strict", "block", fmt.Sprintf("25.00%d", i%2))
		down := r.at("strict", "block", fmt.Sprintf("25.02%d", i%2))
		down.Falling = true
		r.check("strict", up, down)
	}
	if !found("strict")[signs.Hysteresis] {
		t.Errorf("the checks show no hysteresis: %v", found("strict"))
	}
	if _, err := r.Signs(t.Context(), "none"); err == nil || said(err) != `not found: there is no gauge "none": there are clock, dial, each, far, fresh, micrometer, pedal, probe, remote, strict, sweep` {
		t.Errorf("got %v", err)
	}
}

// TestChecksAmongZeroReturns: many zero returns do not push the checks out of sight.
func TestChecksAmongZeroReturns(t *testing.T) {
	r := newRig(t)
	r.Station.mu.Lock()
	step := gauge.Micrometre.Size()
	r.Station.gauges["clock"].Ability.Resolution = &step
	r.Station.mu.Unlock()
	for i := range 4 {
		up, down := r.at("clock", "block", fmt.Sprintf("25.00%d", i%2)), r.at("clock", "block", fmt.Sprintf("25.02%d", i%2))
		down.Falling = true
		r.check("clock", up, down)
	}
	for i := range 50 {
		zero := r.at("clock", "zero", fmt.Sprintf("0.%03d", i%2)).Readings[0]
		if _, err := r.RecordZeroReturn(t.Context(), ZeroRequest{Gauge: "clock", By: "test", Reading: zero}); err != nil {
			t.Fatal(err)
		}
	}
	looked, err := r.Signs(t.Context(), "clock")
	if err != nil {
		t.Fatal(err)
	}
	if i := slices.IndexFunc(looked, func(s signs.Sign) bool { return s.Kind == signs.Hysteresis }); i < 0 || !looked[i].Found {
		t.Errorf("the checks show no hysteresis: %+v", looked)
	}
}
