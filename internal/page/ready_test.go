package page

import (
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/station"
)

// unplugs changes the state of a gauge.
func (r *rig) unplugs(id string, to gauge.State) {
	r.Helper()
	r.station.Report(station.Report{State: &gauge.StateChange{Gauge: id, State: to, Time: time.Now()}})
}

// TestNotReady: while a gauge is not there its key says that it would take nothing,
// and a button is not asked for.
func TestNotReady(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "line", "height", "button")
	events := r.events("/jobs/1/stream")
	r.reads("line", "25.200")
	r.next(events, region("bar", `class=\"key\"\u003eTake`))
	r.unplugs("line", gauge.StateAbsent)
	r.next(events, region("bar", "No reading can be taken from line: not plugged in", `aria-disabled=\"true\" aria-describedby=\"not-ready\"`))
	r.unplugs("line", gauge.StateLive)
	r.next(events, region("bar", `class=\"key\"\u003eTake`))
	r.does("take", nil)
	r.reads("line", "25.201")
	r.next(events, region("live", "25.201"))
	r.does("take", nil)
	r.has("/jobs/1", nil, "Press the button of the gauge.")
	r.unplugs("button", gauge.StateFailed)
	gone := r.next(events, region("bar", "No reading can be taken from button: failed"))
	if strings.Contains(gone.data, "Press the button") {
		t.Error("the button of a failed gauge is asked for")
	}
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "Von button kommt kein Messwert: gestört")
}

// TestForPresses: a gauge whose button is for something else cannot be bound.
func TestForPresses(t *testing.T) {
	for press, want := range map[gauge.Meaning]bool{"": false, gauge.MeansCapture: false, gauge.MeansNext: true, gauge.MeansDiscard: true} {
		g := gaugeChoice{gaugeLine: gaugeLine{GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModeButton, Press: press}}}}
		if g.Cannot() != want {
			t.Errorf("press %q: %t", press, g.Cannot())
		}
	}
}

func TestReasonsOfNotReady(t *testing.T) {
	reading := gauge.Fact{Reading: &gauge.Reading{}}
	for _, c := range []struct {
		name, want string
		gauge      gaugeLine
	}{
		{"live", "", gaugeLine{GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModeStream}, State: gauge.StateLive, Last: reading}}},
		{"nothing sent", "gauge.none", gaugeLine{GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModeStream}, State: gauge.StateLive}}},
		{"silent", "state.silent", gaugeLine{GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModeStream}, State: gauge.StateSilent, Last: reading}}},
		{"silent until asked", "", gaugeLine{GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModePoll}, State: gauge.StateSilent}}},
		{"fed by a program", "", gaugeLine{GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModeStream, Outside: true}}}},
		{"typed", "", gaugeLine{GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModeTyped}}}},
		{"suspect", "gauges.bad.standing", gaugeLine{
			GaugeStatus: station.GaugeStatus{GaugeInfo: station.GaugeInfo{Mode: gauge.ModeStream}, State: gauge.StateLive, Last: reading},
			Health:      &health.Gauge{Standing: "suspect"},
		}},
	} {
		if got := (jobPage{Gauge: &c.gauge, Step: procedure.Step{Name: "depth"}}).NotReady(); got != c.want {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}
