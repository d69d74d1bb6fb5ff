package station

import (
	"fmt"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// TestBindWhileGaugesAreHeard: jobs are started while readings of gauges that were never
// seen come in, and neither reads what the other writes (the race detector looks).
func TestBindWhileGaugesAreHeard(t *testing.T) {
	r := newRig(t)
	p, _, err := r.Library().Procedure("ring")
	if err != nil {
		t.Fatal(err)
	}
	heard := make(chan struct{})
	go func() {
		defer close(heard)
		for i := range 50 {
			r.press(fmt.Sprintf("new-%d", i), fmt.Sprintf("1.%03d", i), gauge.Millimetre)
		}
	}()
	for {
		if _, _, err := r.Bind(t.Context(), p, map[string]string{AnyMeasurement: "dial"}); err != nil {
			t.Fatal(err)
		}
		select {
		case <-heard:
			return
		default:
		}
	}
}

// TestConfigure: other masters and plans count at once, and what is known of a gauge is as
// the new configuration says.
func TestConfigure(t *testing.T) {
	r := newRig(t)
	if h, err := r.Health("probe"); err != nil || h.Plan != nil {
		t.Fatalf("%+v, %v", h, err)
	}
	plan := &check.Plan{Every: time.Hour, Repeats: 1}
	err := r.Configure(t.Context(), Configuration{
		Gauges:  []GaugeInfo{{ID: "probe", Title: "Probe", Mode: gauge.ModeStream, Fresh: time.Minute}},
		Masters: map[string]check.Master{"zero": {ID: "zero"}},
		Plans:   map[string]*check.Plan{"probe": plan},
	})
	if err != nil {
		t.Fatal(err)
	}
	h, _ := r.Health("probe")
	dial, _ := r.Health("dial")
	g, err := r.Gauge("probe")
	if h.Plan != plan || dial.Plan != nil || len(r.Masters()) != 1 || err != nil || g.Title != "Probe" || g.Fresh != time.Minute || g.State != gauge.StateAbsent {
		t.Errorf("%+v %+v %v %+v %v", h, dial, r.Masters(), g, err)
	}
}
