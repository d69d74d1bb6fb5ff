package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"gauged/internal/health"
	"gauged/internal/page/running"
)

// TestCheckIsFoundAgain: a daemon that is restarted in mid-check finds what was taken, taken
// out again and adjusted, typed, at a button and out of a stream, and records it.
func TestCheckIsFoundAgain(t *testing.T) {
	for _, id := range []string{"micrometer", "button", "line"} {
		r := newRig(t)
		r.post("/gauges/"+id+"/check", url.Values{"by": {"quality"}, "occasion": {"dropped"}, "master": {"zero"}, "repeats": {"2"}, "temperature": {"21"}})
		r.has("/gauges/"+id+"/check", nil, "zero")
		take := func(shown string) {
			t.Helper()
			if id != "micrometer" {
				before := r.station.Newest()
				r.reads(id, shown)
				r.await("the reading is there", func() bool { return r.station.Newest() > before })
			}
			if id != "button" {
				if status, body := r.post("/gauges/"+id+"/check/take", url.Values{"shown": {shown}}); status != http.StatusSeeOther {
					t.Fatalf("%s: %d %s", id, status, body)
				}
			}
			r.has("/gauges/"+id+"/check", nil, ">"+shown+"<")
		}
		do := func(what string) {
			t.Helper()
			if status, body := r.post("/gauges/"+id+"/check/"+what, nil); status != http.StatusSeeOther {
				t.Fatalf("%s: %s: %d %s", id, what, status, body)
			}
		}
		take("0.001")
		take("0.009")
		do("drop")
		take("0.002")
		do("adjusted")
		take("0.000")
		table := func() string {
			_, body := r.get("/gauges/" + id + "/check")
			_, body, _ = strings.Cut(body, "<tbody>")
			body, _, _ = strings.Cut(body, "</tbody>")
			return body
		}
		before := table()
		r.page.drafts = running.Drafts[running.Check]{} // as a daemon that starts has none
		if after := table(); after != before || !strings.Contains(after, ">0.002<") || strings.Contains(after, ">0.009<") {
			t.Errorf("%s: after a restart\n%s\nbefore\n%s", id, after, before)
		}
		take("0.000")
		do("record")
		checks, err := r.station.Checks(t.Context(), id)
		if err != nil || len(checks) != 1 || checks[0].Occasion != "dropped" || len(checks[0].Points[0].Seqs) != 2 || len(checks[0].PointsLeft[0].Seqs) != 2 {
			t.Errorf("%s: %+v %v", id, checks, err)
		}
		if _, body := r.get("/gauges/" + id + "/check"); strings.Contains(body, "id=\"record\"") {
			t.Errorf("%s: the recorded check goes on", id)
		}
	}
}

// TestOpenCheckIsShown: a check that was begun and not saved is shown with who began it where
// somebody looks for the gauge, with the key that goes on with it, also after a restart.
func TestOpenCheckIsShown(t *testing.T) {
	r := newRig(t)
	paths := []string{"/", "/gauges", "/gauges/button"}
	r.post("/gauges/button/check", url.Values{"by": {"quality"}, "master": {"zero"}, "repeats": {"2"}})
	r.page.drafts = running.Drafts[running.Check]{} // as a daemon that starts has none
	for _, path := range paths {
		r.has(path, nil, "A check is open since", "by quality.", "goes into no job", `href="/gauges/button/check">Go on with the check</a>`)
		r.has(path, []string{"Accept-Language", "de"}, "von quality.", "Prüfung fortsetzen")
	}
	r.post("/gauges/button/check/cancel", nil)
	for _, path := range paths {
		if _, body := r.get(path); strings.Contains(body, "A check is open") {
			t.Errorf("%s shows a check that was left", path)
		}
	}
	if _, err := r.station.BeginCheck(t.Context(), "button", "demo", []string{"zero"}, health.BegunData{}); err != nil {
		t.Fatal(err)
	}
	r.has("/gauges/button", nil, "gaugectl master leave button", "Start a check")
}
