package page

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
	"gauged/internal/station"
)

// begin starts a job of the ring by the forms and reads its cautions.
func (r *rig) begin(gauges ...string) {
	r.Helper()
	form := url.Values{"procedure": {"ring"}, "serial": {"U 7"}, "technician": {"demo"}}
	for i := 0; i < len(gauges); i += 2 {
		form.Set("gauge."+gauges[i], gauges[i+1])
	}
	if status, to := r.post("/jobs", form); status != http.StatusSeeOther || to != "/jobs/1" {
		r.Fatalf("%d %s", status, to)
	}
	r.has("/jobs/1", nil, "I have read this", "Read the cautions first")
	r.does("acknowledge", nil)
}

// job is job 1 as it stands.
func (r *rig) job() *job.Job {
	r.Helper()
	j, err := r.station.Job(r.Context(), 1)
	if err != nil {
		r.Fatal(err)
	}
	return j
}

// form is one that was drawn now.
func (r *rig) form(fields ...string) url.Values {
	r.Helper()
	form := url.Values{"seen": {strconv.FormatUint(r.job().LastSeq, 10)}}
	for i := 0; i < len(fields); i += 2 {
		form.Set(fields[i], fields[i+1])
	}
	return form
}

// does sends a form of job 1 that must go through.
func (r *rig) does(what string, fields []string, headers ...string) {
	r.Helper()
	if status, body := r.post("/jobs/1/"+what, r.form(fields...), append(headers, "X-Script", "1")...); status != http.StatusNoContent {
		r.Fatalf("%s: %d %s", what, status, body)
	}
}

// refuses sends a form of job 1 that must not.
func (r *rig) refuses(what string, form url.Values, wantStatus int, want string, headers ...string) {
	r.Helper()
	if status, body := r.post("/jobs/1/"+what, form, append(headers, "X-Script", "1")...); status != wantStatus || !strings.Contains(body, want) {
		r.Errorf("%s: %d %s", what, status, body)
	}
}

func region(name string, texts ...string) func(event) bool {
	return func(e event) bool {
		if e.name != "regions" || !strings.Contains(e.data, `"`+name+`":`) {
			return false
		}
		for _, text := range texts {
			if !strings.Contains(e.data, text) {
				return false
			}
		}
		return true
	}
}

func tone(name string) func(event) bool {
	return func(e event) bool { return e.name == "tone" && e.data == `"`+name+`"` }
}

// TestJob: a whole job by the forms of the page, with its stream.
func TestJob(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "button", "end_play", "line")
	r.has("/jobs/1", nil, "Rings jump off. Wear goggles.")
	events := r.events("/jobs/1/stream")
	r.has("/jobs/1", nil, "Measure: Depth of the case, 1\u00a0of\u00a02", "Flat on the face.", "Press the button of the gauge.", "read by demo", "Job 1, unit U 7")

	r.reads("button", "24.900")
	r.next(events, tone("taken"))
	r.does("discard", []string{"reason", "the gauge slipped"})
	r.next(events, region("more", "discarded: the gauge slipped"))
	r.has("/jobs/1", nil, ` stale"><span class="minus">`, `<strong>discarded: the gauge slipped</strong>`) // its digits do not look live
	r.reads("button", "25.200")
	r.next(events, tone("taken"))
	r.reads("button", "25.202")
	r.next(events, tone("taken"))
	r.has("/jobs/1", nil, "Height of the boss", `data-key="7"`, "repeats differ by 0.002 mm (allowed: 0.030 mm)", `class="strip"`)

	r.does("enter", []string{"shown", "23,460", "unit", "mm", "instrument", "depth micrometer"}, "Accept-Language", "de")
	r.next(events, region("step", "Fit R160", "mark", "1.600 mm", "0.141 mm"))
	r.has("/jobs/1", nil, "25.201 - 23.460", "Out of stock: R155", "Allowed 0.100 mm to 0.200 mm", "next thinner", "mark-chosen", "mark-out", "Why:")
	r.has("/jobs/1", []string{"Accept-Language", "de"}, `class="key">R160 einbauen<`, "1,600 mm", "Nicht auf Lager: R155", "nächstdünner")

	r.has("/jobs/1", nil, `class="key">Fit R160<`, "Measure the part in hand, then fit it", `id="fit-measured"`)
	r.does("fit", []string{"thickness", "1.602"})
	r.reads("line", "0.141")
	r.next(events, region("live", "0.141"))
	r.does("take", nil)
	r.next(events, region("step", "Conforms", "predicted", "0.139 mm", "mark-measured"))
	r.has("/jobs/1", nil, `class="key">Sign and close<`, `You sign: <strong>Conforms, 0.141 mm</strong> <small class="by">as demo</small>`)
	r.does("sign", nil)
	r.next(events, func(e event) bool { return e.name == "leave" })
	body := r.has("/jobs/1", nil, "Conforms: 0.141 mm", "signed", "/jobs/1/sheet", "Next unit")
	if strings.Contains(body, `data-stream="/jobs/`) || strings.Contains(body, "<button id=\"take\"") {
		t.Error("a closed job goes on")
	}
	r.has("/jobs?serial=U+7", nil, "U 7", "Conforms")
	if none := r.has("/jobs?serial=other", nil, "No job found."); strings.Contains(none, "/jobs.csv") {
		t.Error("an empty list is offered as a table")
	}
}

// TestSecondTouch: of two forms that were drawn alike only the first does something.
func TestSecondTouch(t *testing.T) {
	r := newRig(t)
	r.begin()
	form := r.form("shown", "25.210", "unit", "mm")
	here, there := r.events("/jobs/1/stream"), r.events("/jobs/1/stream")
	if status, body := r.post("/jobs/1/enter", form, "X-Script", "1"); status != http.StatusNoContent {
		t.Fatalf("%d %s", status, body)
	}
	r.refuses("enter", form, http.StatusConflict, "the job has moved on")
	for _, screen := range []<-chan event{here, there} {
		r.next(screen, region("more", "25.210"))
	}
	if got := readings(r.job()); got != 1 {
		t.Errorf("%d readings", got)
	}
}

// TestWrongGauge: the press of a gauge that is not due is heard and said on every screen.
func TestWrongGauge(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "line", "height", "button")
	events := r.events("/jobs/1/stream")
	r.next(events, region("step"))
	r.reads("button", "23.460")
	r.next(events, tone("refused"))
	r.has("/jobs/1", nil, "Not done:", "depth is measured with line")
}

func TestTyped(t *testing.T) {
	r := newRig(t)
	r.begin()
	r.refuses("enter", r.form("shown", "95.21", "unit", "mm"), http.StatusPreconditionRequired, "95.21 mm is outside of what this measurement can give (20 to 30 mm)")
	if status, body := r.post("/jobs/1/enter", r.form("shown", "95.21", "unit", "mm")); status != http.StatusPreconditionRequired || !strings.Contains(body, `name="sure" value="1"`) || !strings.Contains(body, `name="shown" value="95.21"`) {
		t.Errorf("without a script: %d %s", status, body)
	}
	r.refuses("enter", r.form("shown", "25,21", "unit", "mm"), http.StatusUnprocessableEntity, "comma")
	r.refuses("enter", r.form("shown", "25.21", "unit", "in"), http.StatusConflict, "in")
	r.refuses("enter", r.form("shown", "25.21", "unit", "ell"), http.StatusUnprocessableEntity, "unknown unit")
	if got := readings(r.job()); got != 0 {
		t.Errorf("%d readings were taken", got)
	}
	r.does("enter", []string{"shown", "95.21", "unit", "mm", "sure", "1"})
	r.has("/jobs/1", nil, "Note (1):", "95.21 mm is not plausible")
	r.does("discard", []string{"reason", "other reason"})
	r.does("enter", []string{"goes", "25,20", "stays", "25,25", "unit", "mm"}, "Accept-Language", "de")
	r.has("/jobs/1", nil, "25.20..25.25 mm")
}

// TestNothingFits: the answer says so and what the nearest would give.
func TestNothingFits(t *testing.T) {
	r := newRig(t)
	r.begin()
	for _, shown := range []string{"25.210", "25.210", "23.000"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.has("/jobs/1", nil, "No available part fits", "The nearest, R160, would give 0.610 mm")
	r.refuses("choose", r.form(), http.StatusConflict, "no part is recommended")
	r.refuses("choose", r.form("part", "R160"), http.StatusUnprocessableEntity, "say why it is taken")
	r.refuses("close", r.form(), http.StatusUnprocessableEntity, "give a reason to close it")
	r.does("close", []string{"reason", "no ring"})
}

// TestStreamComesBack: a page that comes back hears of the reading that was taken
// while it was cut off, once, and its regions are as they are now.
func TestStreamComesBack(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "button")
	before := strconv.FormatUint(r.station.Newest(), 10)
	r.reads("button", "25.210")
	r.await("the reading is taken", func() bool { return readings(r.job()) == 1 })
	missed := r.events("/jobs/1/stream", "Last-Event-ID", before)
	r.next(missed, region("more", "25.210"))
	r.next(missed, tone("taken"))
	r.has("/jobs/1", nil, `data-stream="/jobs/1/stream?after=`+strconv.FormatUint(r.station.Newest(), 10)+`"`)
	events := r.events("/jobs/1/stream", "Last-Event-ID", strconv.FormatUint(r.station.Newest(), 10))
	r.next(events, region("more", "25.210"))
	r.next(events, func(e event) bool {
		if e.name == "tone" {
			t.Error("an old reading is heard again")
		}
		return e.name == "alive"
	})
}

func (r *rig) await(what string, done func() bool) {
	r.Helper()
	for range 500 {
		if done() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	r.Fatalf("it did not come about: %s", what)
}

// TestBinding: the gauge whose name goes with the instrument is proposed, and one
// that may not be used cannot be chosen.
func TestBinding(t *testing.T) {
	r := newRig(t)
	r.has("/start?procedure=ring&serial=U+7&technician=demo", nil, `name="gauge.depth"`, `<option value="button" selected>button - Depth gauge`, `name="gauge.end_play"`, "after fitting")
	if _, err := r.station.SetStanding(t.Context(), "button", health.Retired, "worn", "q"); err != nil {
		t.Fatal(err)
	}
	r.lacks("/start?procedure=ring&serial=U+7&technician=demo", `<option value="button"`)
	r.has("/start?procedure=ring&serial=U+7&technician=demo", nil, "Gauges that cannot serve", "button - Depth gauge - retired: worn")
	for query, want := range map[string]string{
		"procedure=ring&technician=demo":       `name="gauge.depth"`,
		"serial=1&technician=demo":             `formaction="/start"`,
		"procedure=x&serial=1&technician=demo": "no procedure",
	} {
		if _, body := r.get("/start?" + query); !strings.Contains(body, want) {
			t.Errorf("%s: %s", query, body)
		}
	}
}

// TestOrder: the page does nothing before the cautions were read, and wants to
// know which state of the job a form was drawn of.
func TestOrder(t *testing.T) {
	r := newRig(t)
	if _, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "U 7", Technician: "demo", Gauges: map[string]string{"depth": "line"}}); err != nil {
		t.Fatal(err)
	}
	for _, what := range []string{"take", "enter", "motion"} {
		r.refuses(what, r.form("shown", "25.21", "unit", "mm"), http.StatusConflict, "read the cautions of job 1 first")
		r.refuses(what, url.Values{}, http.StatusUnprocessableEntity, `in its field "seen"`)
		r.refuses(what, url.Values{"seen": {"0"}}, http.StatusConflict, "the job has moved on")
	}
	r.does("acknowledge", nil)
	r.refuses("acknowledge", r.form(), http.StatusConflict, "demo has read the cautions of job 1 already")
	r.refuses("motion", r.form(), http.StatusConflict, "does not capture depth from a moving indicator")
}

// TestDiscard: any reading that counts, for a reason of the list or another one.
func TestDiscard(t *testing.T) {
	r := newRig(t)
	r.begin()
	r.does("enter", []string{"shown", "25.210", "unit", "mm"})
	r.does("enter", []string{"shown", "25.290", "unit", "mm"})
	page := r.has("/jobs/1", nil, "Discard a reading", "25.210 mm <small>Depth of the case, number 1</small>", "The readings do not agree, or cannot be right: discard one, then measure again", `<summary class="key">Discard a reading</summary>`)
	if strings.Contains(page, `id="enter"`) || strings.Count(page, `id="discard"`) != 1 {
		t.Error("the key takes a third reading, which no spread becomes smaller by, or there are two lists to discard from")
	}
	first := r.job().Evaluation.Measurements[0].Readings[0].Seq
	if !strings.Contains(page, `name="reading" value="`+strconv.FormatUint(first, 10)+`">`) {
		t.Errorf("reading %d cannot be chosen", first)
	}
	r.refuses("discard", r.form("reading", "x", "reason", "dirt"), http.StatusUnprocessableEntity, `"x" is no number of a reading`)
	r.refuses("discard", r.form("other", " "), http.StatusUnprocessableEntity, "with a reason")
	r.does("discard", []string{"reading", strconv.FormatUint(first, 10), "reason", "", "other", "burr on the face"})
	r.has("/jobs/1", nil, "discarded: burr on the face", "Measure: Depth of the case, 2\u00a0of\u00a02")
	if got := r.job().Evaluation.Measurements[0].Readings[0].Discarded; got != "burr on the face" {
		t.Errorf("discarded for %q", got)
	}
}

// TestGarbledPress: a press of a data button that gives no reading is heard and
// said at once, each time, and shown at the gauge.
func TestGarbledPress(t *testing.T) {
	r := newRig(t)
	r.begin(station.AnyMeasurement, "button")
	events := r.events("/jobs/1/stream")
	for _, want := range []string{"what button sent is no reading (another unit: in where mm is wanted): press again", "2 frames were rejected since its last reading"} {
		r.station.Report(station.Report{Reject: &gauge.Reject{Gauge: "button", Time: time.Now(), Reason: gauge.ReasonUnit, Detail: gauge.Plain("in where mm is wanted")}})
		heard, said := false, false
		r.next(events, func(e event) bool {
			heard = heard || tone("refused")(e)
			said = said || region("bar", want)(e)
			return heard && said
		})
	}
	r.has("/gauges", nil, "Unreadable messages since the last reading: 2. Press again.", "in where mm is wanted")
	r.has("/gauges", []string{"Accept-Language", "de"}, "Unlesbare Telegramme seit dem letzten Messwert: 2. Noch einmal drücken.")
}
