package page

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/station"
)

// TestDueHintGoes: what says that a check is due after the job goes on an open page when the
// check is recorded, and is not there when the page is opened again.
func TestDueHintGoes(t *testing.T) {
	const due = "The check of gauge micrometer after the job is due."
	r := newRig(t, func(o *station.Options) {
		o.Plans = map[string]*check.Plan{"micrometer": {AfterEach: true, Masters: []string{"zero"}, Repeats: 1}}
	})
	r.begin("depth", "micrometer", "height", "micrometer")
	for _, shown := range []string{"25.210", "25.212", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("choose", nil)
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.152", "unit", "mm"})
	r.has("/jobs/1", nil, due)
	events := r.events("/jobs/1/stream")
	r.next(events, region("more", due))
	r.typedCheck("0.000")
	r.next(events, func(e event) bool { return strings.Contains(e.data, `"more"`) && !strings.Contains(e.data, due) })
	r.lacks("/jobs/1", due)
}

// TestDueWarningGoes: that a check was due when a job began is not said any more when the
// gauge has passed one in the midst of it.
func TestDueWarningGoes(t *testing.T) {
	const never = "gauge micrometer was never checked"
	r := newRig(t, func(o *station.Options) {
		o.Plans = map[string]*check.Plan{"micrometer": {Every: 24 * time.Hour, Masters: []string{"zero"}, Repeats: 1}}
	})
	r.begin("depth", "micrometer", "height", "micrometer")
	r.has("/jobs/1", nil, never)
	r.typedCheck("0.000")
	r.lacks("/jobs/1", never)
}

// TestOpenCheckOfATypedGauge: a check that is open is not shown as one that was never made; the
// page of the check names the master by its title and has no box of what the gauge shows now.
func TestOpenCheckOfATypedGauge(t *testing.T) {
	r := newRig(t, func(o *station.Options) {
		o.Masters["block"] = check.Master{ID: "block", Title: "Gauge block 25 mm", Value: gauge.MustLength("25", gauge.Millimetre)}
		o.Plans = map[string]*check.Plan{"micrometer": {Every: 24 * time.Hour, Masters: []string{"block"}, Repeats: 1}}
	})
	r.has("/gauges", nil, "Never checked against a master.")
	r.post("/gauges/micrometer/check", url.Values{"by": {"q"}})
	page := r.has("/gauges/micrometer/check", nil, "Now measure: block: Gauge block 25 mm", "<td>block: Gauge block 25 mm</td>")
	if strings.Contains(page, `id="now"`) {
		t.Error("there is a box of what the gauge shows now, and nothing shows it")
	}
	gauges := r.has("/gauges", nil, "A check is open since", "A check is open")
	_, card, _ := strings.Cut(gauges, `id="gauge-micrometer"`)
	card, _, _ = strings.Cut(card, "</article>")
	if strings.Contains(card, "Never checked") || strings.Contains(card, "A check is due now") {
		t.Error(card)
	}
	r.has("/gauges/micrometer", nil, `<td colspan="7">A check is open</td>`)
	r.has("/?procedure=ring", nil, "A check is open")
}
