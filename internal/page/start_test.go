package page

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
)

// TestNoProcedureIsChosen: what was used last, and what was used for a like unit, is said;
// none is chosen before somebody does.
func TestNoProcedureIsChosen(t *testing.T) {
	r := newRig(t)
	r.lacks("/", "used last", "checked", `id="start"`)
	r.has("/", nil, `<input type="radio" name="procedure" value="ring" required>`)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"SC-0041"}, "technician": {"demo"}})
	r.lacks("/start?serial=XX-1", "checked>", "used last for")
	r.has("/start?serial=XX-1", nil, "used last", "This unit is new here.")
	r.lacks("/start?serial=sc+0042", "checked>")
	r.has("/start?serial=sc+0042", nil, "used last for SC-0041")
	r.lacks("/start?serial=sc0041", "This unit is new here.")
	r.has("/start?serial=sc0041", nil, "There is a job on this unit", `href="/jobs/1"`)
	r.has("/start?serial=SC-OO41&procedure=ring", nil, "checked>", "Did you mean SC-0041?", `data-serial="SC-0041"`)
}

// TestAlikeIsAskedOnThePage: a look-alike starts nothing until somebody says that it is meant.
func TestAlikeIsAskedOnThePage(t *testing.T) {
	r := newRig(t)
	form := url.Values{"procedure": {"ring"}, "serial": {"SC-0041"}, "technician": {"demo"}}
	r.post("/jobs", form)
	form.Set("serial", "SC-OO41")
	status, body := r.post("/jobs", form)
	if status != http.StatusPreconditionRequired || !strings.Contains(body, "did you mean SC-0041?") || !strings.Contains(body, `name="sure" value="1"`) {
		t.Errorf("%d %s", status, body)
	}
	form.Set("sure", "1")
	if status, to := r.post("/jobs", form); status != http.StatusSeeOther || to != "/jobs/2" {
		t.Errorf("%d %s", status, to)
	}
}

// TestBoundElsewhere: a gauge whose button feeds another job is not offered, with a link
// there, until that job is set aside.
func TestBoundElsewhere(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "button")
	r.lacks("/start?procedure=ring&serial=8", `<option value="button"`)
	r.has("/start?procedure=ring&serial=8", nil, `href="/jobs/1">bound in job 1, unit U 7`)
	r.does("aside", []string{"reason", "ring ordered"})
	r.lacks("/start?procedure=ring&serial=8", "bound in job")
	r.has("/start?procedure=ring&serial=8", nil, `<option value="button" selected>`)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"8"}, "technician": {"demo"}, "gauge.depth": {"button"}})
	r.refuses("resume", r.form("by", "demo"), http.StatusConflict, "feeds job 2 (unit 8)", "X-Script", "1")
}

// TestTheDeviceRemembers: who began jobs on a device, the last one first, and with which gauges.
func TestTheDeviceRemembers(t *testing.T) {
	r := newRig(t)
	begun := func(cookies, serial, who, gauge string) string {
		form := url.Values{"procedure": {"ring"}, "serial": {serial}, "technician": {who}, "gauge.depth": {gauge}}
		answer := r.send(http.MethodPost, "/jobs", strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded", "Cookie", cookies)
		defer answer.Body.Close()
		var kept []string
		for _, c := range answer.Cookies() {
			kept = append(kept, c.Name+"="+c.Value)
		}
		slices.Sort(kept)
		return strings.Join(kept, "; ")
	}
	first := begun("", "AA-1", "Ada", "")
	second := begun(first, "BB-2", "Bo", "")
	_, page := r.get("/start?procedure=ring&serial=3", "Cookie", second)
	for _, want := range []string{`value="Bo" required`, `data-who="Bo">Bo</button><button type="button" data-who="Ada"`} {
		if !strings.Contains(page, want) {
			t.Errorf("no %s in %s", want, page)
		}
	}
	if strings.Contains(page, `<option value="button" selected>`) {
		t.Error("the gauge is proposed although it was typed in last time")
	}
	third := begun(second, "CC-3", "Ada", "button")
	if _, page = r.get("/start?procedure=ring&serial=4", "Cookie", third); !strings.Contains(page, `data-who="Ada">Ada</button><button type="button" data-who="Bo"`) {
		t.Error(page)
	}
}

// lacks checks that a page shows none of these.
func (r *rig) lacks(path string, texts ...string) {
	r.Helper()
	_, body := r.get(path)
	for _, text := range texts {
		if strings.Contains(body, text) {
			r.Errorf("%s has %q", path, text)
		}
	}
}

// TestCautionsReadAtTheStart: the key that begins a job says that the cautions above it were
// read. Where the procedure has changed meanwhile the job asks for that again.
func TestCautionsReadAtTheStart(t *testing.T) {
	r := newRig(t)
	r.has("/start?procedure=ring&serial=8", nil, `id="read"`, "Wear goggles", "Cautions read: start the job")
	_, page := r.get("/start?procedure=ring&serial=8")
	_, after, _ := strings.Cut(page, `name="read" value="`)
	hash, _, _ := strings.Cut(after, `"`)
	form := url.Values{"procedure": {"ring"}, "serial": {"8"}, "technician": {"Ada"}, "read": {hash}, "request": {"once"}}
	r.post("/jobs", form)
	r.lacks("/jobs/1", `id="acknowledge"`)
	r.has("/jobs/1", nil, "read by Ada")
	form.Set("serial", "9")
	form.Set("read", "of another version")
	form.Set("request", "twice")
	r.post("/jobs", form)
	r.has("/jobs/2", nil, `id="acknowledge"`)
}
