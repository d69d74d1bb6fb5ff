package page

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
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

// TestAPlayOfTwoGauges: where the second reading of a play comes from another gauge than the
// first, the page says that there is no verdict, and why, and leads back to both readings.
func TestAPlayOfTwoGauges(t *testing.T) {
	r := rigOf(t, strings.NewReplacer("measure: {end_play: {title: End play}}", "measure: {pushed: {title: Shaft pushed}, pulled: {title: Shaft pulled}}", "play: end_play", "play: pulled - pushed").Replace(ringProcedure))
	r.begin("depth", "button", "pushed", "line", "pulled", "button")
	for i, shown := range []string{"25.210", "25.212"} {
		r.reads("button", shown)
		r.await("the depth", func() bool { return len(r.job().Evaluation.Measurements[0].Readings) == i+1 })
	}
	r.does("enter", []string{"shown", "23.460", "unit", "mm"})
	r.does("choose", nil)
	r.does("fit", nil)
	r.reads("line", "0.012")
	r.await("the indicator", func() bool {
		readings, err := r.station.Readings(r.Context(), gauge.Query{Gauge: "line", Limit: 1})
		return err == nil && len(readings) == 1
	})
	r.does("take", nil)
	r.reads("button", "0.162")
	r.await("what was pulled", func() bool { return r.job().HasReadings("pulled") })
	const en, de = "Gauges have no common zero, so their difference is no play.", "Zwei Messmittel haben keinen gemeinsamen Nullpunkt: ihre Differenz ist kein Spiel."
	for _, path := range []string{"/jobs/1", "/jobs/1/sheet"} {
		r.has(path, nil, en, "pulled and pushed are two readings on one zero, and came from button, line")
		r.has(path, []string{"Accept-Language", "de"}, de)
	}
	r.lacks("/jobs/1", "Sign as")
	if j := r.job(); j.Stage != job.StageVerify || j.Measuring != "pushed" {
		t.Errorf("%s, measuring %q", j.Stage, j.Measuring)
	}
	r.has("/jobs/1", nil, `<select name="gauge.pushed" form="other-gauge">`)
	pulled := r.job().Taken[len(r.job().Taken)-1].Seq
	r.does("discard", []string{"reading", strconv.FormatUint(pulled, 10), "reason", "", "other", "one indicator for both"})
	r.does("gauge", []string{"gauge.pulled", "line", "reason", "one indicator for both"})
	r.reads("line", "0.164")
	r.await("the indicator", func() bool {
		readings, err := r.station.Readings(r.Context(), gauge.Query{Gauge: "line", Limit: 2})
		return err == nil && len(readings) == 2
	})
	r.does("take", nil)
	if j := r.job(); j.Stage != job.StageDecided || j.Evaluation.Outcome != evaluate.Conforms {
		t.Errorf("%s, %s", j.Stage, j.Evaluation.Outcome)
	}
	r.lacks("/jobs/1", en)
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
