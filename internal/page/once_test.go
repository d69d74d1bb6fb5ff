package page

import (
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// onceIn is the field of a page that makes its form one that is carried out once.
func onceIn(t *testing.T, page, action string) string {
	t.Helper()
	_, form, _ := strings.Cut(page, `action="`+action+`"`)
	form, _, _ = strings.Cut(form, "</form>")
	m := regexp.MustCompile(`<input type="hidden" name="request" value="(\w+)">`).FindStringSubmatch(form)
	if m == nil {
		t.Fatalf("the form to %s has no field request: %s", action, form)
	}
	return m[1]
}

// sends sends a form and returns where it leads.
func (r *rig) sends(path string, form url.Values) string {
	r.Helper()
	status, to := r.post(path, form)
	if status != http.StatusSeeOther {
		r.Fatalf("POST %s answers %d: %s", path, status, to)
	}
	return to
}

// TestFormsAreCarriedOutOnce: a form that is sent again, as after a lost answer or by a
// second touch, leads to what it did; one of a page that is loaded again does it once more.
func TestFormsAreCarriedOutOnce(t *testing.T) {
	r := newRig(t)
	twice := func(page, action string, form url.Values) string {
		t.Helper()
		_, body := r.get(page)
		form.Set("request", onceIn(t, body, action))
		before := r.station.Newest()
		to := r.sends(action, form)
		stored := r.station.Newest()
		if again := r.sends(action, form); stored == before || r.station.Newest() != stored || strings.Split(again, "#")[0] != strings.Split(to, "#")[0] {
			t.Errorf("%s led to %s, again to %s; it stored up to %d, again up to %d", action, to, again, stored, r.station.Newest())
		}
		if _, body = r.get(page); strings.Contains(body, form.Get("request")) {
			t.Errorf("%s has the same id on a page that was loaded again", action)
		}
		return to
	}
	job := twice("/start?procedure=ring&serial=U-1&technician=M", "/jobs", url.Values{"procedure": {"ring"}, "serial": {"U-1"}, "technician": {"M"}})
	if job != "/jobs/1" {
		t.Errorf("the form led to %s", job)
	}
	twice("/gauges/micrometer", "/gauges/micrometer/standing", url.Values{"standing": {"suspect"}, "reason": {"fell down"}, "by": {"M"}})
	twice("/gauges/micrometer/check", "/gauges/micrometer/check", url.Values{"by": {"M"}, "master": {"zero"}, "repeats": {"2"}})
	for range 2 {
		if status, body := r.post("/gauges/micrometer/check/take", url.Values{"shown": {"0.001"}}); status != http.StatusSeeOther {
			t.Fatal(status, body)
		}
	}
	page := "/gauges/micrometer/check"
	_, body := r.get(page)
	id := onceIn(t, body, "/gauges/micrometer/check/record")
	if _, body = r.get(page); onceIn(t, body, "/gauges/micrometer/check/record") != id {
		t.Error("the id of a check that is being made changes with the page")
	}
	form := url.Values{"request": {id}, "remark": {"fine"}}
	to := r.sends(page+"/record", form)
	if again := r.sends(page+"/record", form); again != to {
		t.Errorf("the record led to %s, again to %s", to, again)
	}
	checks, err := r.station.AllChecks(t.Context(), "micrometer")
	if err != nil || len(checks) != 1 {
		t.Fatalf("%d checks, %v", len(checks), err)
	}
	twice("/gauges/micrometer", "/gauges/micrometer/void", url.Values{"check": {strconv.FormatUint(checks[0].Seq, 10)}, "reason": {"mistaken"}, "by": {"M"}})
}

// TestFormOfOtherEntries: a form that was sent, and is sent again with other entries, does
// nothing and says so; a program's request_id is none of a form's.
func TestFormOfOtherEntries(t *testing.T) {
	r := newRig(t)
	form := url.Values{"request": {"1"}, "standing": {"suspect"}, "reason": {"fell down"}, "by": {"M"}}
	r.sends("/gauges/micrometer/standing", form)
	form.Set("reason", "bent")
	before := r.station.Newest()
	status, body := r.post("/gauges/micrometer/standing", form)
	if want := "this form was sent before, with other entries; nothing was done."; status != http.StatusConflict || !strings.Contains(body, want) || r.station.Newest() != before {
		t.Errorf("%d, stored up to %d, before %d: %s", status, r.station.Newest(), before, body)
	}
}

// TestFormsAreTidied: blanks around what was typed are taken off, a control character and a
// text without end are refused, and nothing is stored.
func TestFormsAreTidied(t *testing.T) {
	r := newRig(t)
	r.sends("/gauges/micrometer/standing", url.Values{"standing": {" suspect "}, "reason": {"\tfell down\u00a0"}, "by": {" M\r\n"}})
	h, err := r.station.Health("micrometer")
	if err != nil || h.Standing != "suspect" || h.Why.String() != gauge.Plain("fell down").String() || h.Standings()[0].By != "M" {
		t.Errorf("%+v, %v", h, err)
	}
	before := r.station.Newest()
	for _, c := range []struct{ reason, want string }{
		{"fell\x1b[2Jdown", "reason has a control character, its character 5"},
		{strings.Repeat("x", 4097), "reason has 4097 bytes, and at most 4096 are taken"},
	} {
		status, body := r.post("/gauges/micrometer/standing", url.Values{"standing": {"in service"}, "reason": {c.reason}, "by": {"M"}})
		if status != http.StatusUnprocessableEntity || !strings.Contains(body, c.want) {
			t.Errorf("%d, and not %q: %s", status, c.want, body)
		}
	}
	if r.station.Newest() != before {
		t.Error("something was stored")
	}
}
