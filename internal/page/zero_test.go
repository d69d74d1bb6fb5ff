package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/job"
	"gauged/internal/station"
)

// decidedJob measures a job with the depth gauge, which has a button, and the
// indicator, and types in the rest, up to the verdict.
func (r *rig) decidedJob() {
	r.Helper()
	r.decided("0.152")
}

// decided is decidedJob with a proof that the indicator shows.
func (r *rig) decided(proof string) {
	r.Helper()
	r.begin("depth", "button", "end_play", "line")
	for i, shown := range []string{"25.210", "25.212"} {
		r.reads("button", shown)
		r.await("the depth", func() bool { return len(r.job().Evaluation.Measurements[0].Readings) == i+1 })
	}
	r.does("enter", []string{"shown", "23.460", "unit", "mm", "instrument", "depth micrometer"})
	r.does("choose", nil)
	r.does("fit", nil)
	r.reads("line", proof)
	r.await("the indicator", func() bool {
		readings, err := r.station.Readings(r.Context(), gauge.Query{Gauge: "line", Limit: 1})
		return err == nil && len(readings) == 1
	})
	r.does("take", nil)
	r.await("the verdict", func() bool { return r.job().Stage == job.StageDecided })
}

// TestAfterJob: the zero returns of a job's gauges are recorded by hand on its page,
// of each kind of gauge, and a check that is due after the job is named.
func TestAfterJob(t *testing.T) {
	within := gauge.MustLength("0.05", gauge.Millimetre)
	r := newRig(t, func(o *station.Options) {
		o.Plans = map[string]*check.Plan{"button": {ZeroWithin: &within, AfterEach: true}, "line": {ZeroWithin: &within}}
	})
	r.decidedJob()
	page := r.has("/jobs/1", nil, "After the job", "The check of gauge button after the job is due.", "Let gauge line return to zero. It shows", "Let gauge button return to zero.")
	if strings.Contains(page, "The check of gauge line after the job is due.") {
		t.Error("no check of the indicator is wanted")
	}
	if status, body := r.post("/jobs/1/zero", r.form("gauge", "line")); status != http.StatusConflict || !strings.Contains(body, "was taken before job 1 was measured") {
		t.Errorf("%d %s", status, body)
	}
	events := r.events("/jobs/1/stream")
	r.reads("line", "0.003")
	r.next(events, func(e event) bool { return strings.Contains(e.data, "0.003") })
	if status, body := r.post("/jobs/1/zero", r.form("gauge", "line"), "X-Script", "1"); status != http.StatusNoContent {
		t.Errorf("%d %s", status, body)
	}
	r.next(events, func(e event) bool { return strings.Contains(e.data, "Zero return after job 1") })
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "Nullrückkehr nach Auftrag 1: 0,003 mm", "Nach dem Auftrag")
	if h, err := r.station.Health("line"); err != nil || h.LastZero == nil || h.LastZero.Job != 1 || h.LastZero.By != "demo" {
		t.Errorf("%+v, %v", h, err)
	}
	for fields, want := range map[string]string{
		"gauge=none":             "there is no gauge &#34;none&#34;",
		"gauge=button&reading=x": "&#34;x&#34; is no number of a reading",
		"gauge=button&reading=1": "reading 1",
		"gauge=micrometer":       "type in what gauge micrometer shows at its zero",
	} {
		form, err := url.ParseQuery(fields)
		if err != nil {
			t.Fatal(err)
		}
		form.Set("seen", r.form().Get("seen"))
		if status, body := r.post("/jobs/1/zero", form); status < http.StatusBadRequest || !strings.Contains(body, want) {
			t.Errorf("%s: %d, no %q in %s", fields, status, want, body)
		}
	}
	r.reads("button", "0.002") // is recorded at its press
	r.next(events, func(e event) bool { return strings.Contains(e.data, "0.002 mm, ") })
	if h, err := r.station.Health("button"); err != nil || h.LastZero == nil || h.LastZero.Job != 1 {
		t.Errorf("%+v, %v", h, err)
	}
}
