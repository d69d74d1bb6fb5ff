package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/station"
)

// TestTakenUpWithAnotherGauge: where the gauge of a job that waits may not be used any more,
// the page says why and offers the others, and the job is taken up with the one that is named.
func TestTakenUpWithAnotherGauge(t *testing.T) {
	r := newRig(t)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"SC-1"}, "technician": {"demo"}, "gauge.depth": {"button"}, "gauge.height": {"button"}})
	r.post("/jobs/1/aside", r.form("reason", "shift"))
	r.has("/jobs/1", nil, `<select name="gauge.depth" form="act"`, `<option value="button" selected>`, `<select name="gauge.end_play" form="act"`)
	if _, err := r.station.SetStanding(t.Context(), "button", health.Suspect, "dropped", "lead"); err != nil {
		t.Fatal(err)
	}
	r.lacks("/jobs/1", `<option value="button"`)
	r.has("/jobs/1", nil, "<h3>Depth of the case</h3><ul><li>button - Depth gauge - suspect: ")
	if status, body := r.post("/jobs/1/resume", r.form("by", "demo")); status != http.StatusConflict || !strings.Contains(body, "button") {
		t.Errorf("with the suspect gauge: %d %s", status, body)
	}
	if status, body := r.post("/jobs/1/resume", r.form("by", "demo", "gauge.depth", "line", "gauge.height", "", "gauge.end_play", "")); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	j, err := r.station.Job(t.Context(), 1)
	if err != nil || j.Aside != nil || j.Gauges["depth"] != "line" || j.Gauges["height"] != "" {
		t.Errorf("%v %v", j.Gauges, err)
	}
}

// TestOtherGaugeInMidJob: a measurement that has readings of a gauge that may not be used any
// more is measured again with another one: the page says what that means, and the readings
// stay, struck with the reason.
func TestOtherGaugeInMidJob(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "line", "height", "line", "end_play", "line")
	r.reads("line", "25.200")
	r.does("take", nil)
	if _, err := r.station.SetStanding(t.Context(), "line", health.Suspect, "dropped", "lead"); err != nil {
		t.Fatal(err)
	}
	r.refuses("take", r.form(), http.StatusConflict, "line")
	r.has("/jobs/1", nil, `<select name="gauge.depth" form="other-gauge"><option value="line">line, as before; its readings count on (1)</option>`,
		"With another gauge what was read so far is discarded", `value="line: `, `<option value="button"`, `<select name="gauge.height" form="other-gauge"><option value="">no gauge: type the reading in</option><option value="button"`)
	r.refuses("gauge", r.form("gauge.depth", "button", "reason", " "), http.StatusUnprocessableEntity, "say why")
	r.does("gauge", []string{"gauge.depth", "button", "gauge.height", "", "gauge.end_play", "button", "reason", "line: dropped"}) // the others are bound to it too
	j := r.job()
	if first := j.Taken[0]; first.Discarded != "line: dropped" || j.Gauges["depth"] != "button" || j.Measuring != "depth" || j.HasReadings("depth") {
		t.Errorf("%+v %v", j.Taken, j.Gauges)
	}
	r.has("/jobs/1", nil, "Press the button of the gauge.", "discarded: line: dropped")
	r.has("/jobs/1/sheet", nil, "<td>Gauge changed: Depth of the case: line → button; End play: line → button; Height of the boss: line → typed in, line: dropped</td><td>demo</td>")
	r.lacks("/jobs/1/sheet", "Set aside", "Taken up again")
	r.lacks("/jobs/1", `<select name="gauge.height"`)
}

// TestAnotherUnitCannotServe: a gauge whose unit the procedure refuses is neither offered nor
// proposed at the start, with the reason, until it is switched or the procedure converts.
func TestAnotherUnitCannotServe(t *testing.T) {
	inches := strings.NewReplacer("unit: mm", "unit: in", "agree: 0.03, plausible: {min: 20, max: 30}", "agree: 0.001").Replace(ringProcedure)
	const start = "/start?serial=SC-1&procedure=ring"
	r := rigOf(t, inches)
	r.lacks(start, `<option value="button"`, `<option value="line"`)
	r.has(start, nil, "button - Depth gauge - shows millimetres; this is measured in inches only: switch the gauge")
	r.station.Report(station.Report{Reading: &gauge.Reading{Gauge: "button", Shown: "0.9850", Unit: gauge.Inch, Time: r.page.o.Now()}})
	r.await("the gauge that was switched is proposed", func() bool {
		_, body := r.get(start)
		return strings.Contains(body, `<option value="button" selected>`)
	})
	rigOf(t, strings.Replace(inches, "unit: in\n", "unit: in\nother_units: convert\n", 1)).has(start, nil, `<option value="button" selected>`)
}
