package page

import (
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/page/say"
	"gauged/internal/station"
)

// has demands that a page holds texts, and that its numbers are German in German.
func (r *rig) has(path string, headers []string, wants ...string) string {
	r.Helper()
	status, body := r.get(path, headers...)
	for _, want := range wants {
		if status != http.StatusOK || !strings.Contains(body, want) {
			r.Errorf("%s: %d, no %q in %s", path, status, want, body)
		}
	}
	r.speaksGerman(path)
	return body
}

func TestGauges(t *testing.T) {
	r := newRig(t)
	r.reads("line", "0.123")
	events := r.events("/gauges/stream")
	r.next(events, func(e event) bool { return strings.Contains(e.data, `0.123`) })
	r.has("/gauges", nil, "Depth gauge", "Never checked against a master.", "in service", "0.123", "live")
	r.has("/gauges", []string{"Accept-Language", "de"}, "0,123", "sendet", "im Einsatz")
	if status, _ := r.get("/gauges/none"); status != http.StatusNotFound {
		t.Errorf("there is no such gauge, but %d", status)
	}
}

// TestCheckByPage: a check of an indicator that sends all the time, adjusted in
// between, and then seen in the list, the page of the gauge and its drawing.
func TestCheckByPage(t *testing.T) {
	r := newRig(t)
	r.reads("line", "0.001")
	begin := url.Values{"by": {"quality"}, "occasion": {"periodic"}, "master": {"zero"}, "repeats": {"2"}, "temperature": {"20,5"}}
	if status, body := r.post("/gauges/line/check", begin); status != http.StatusUnprocessableEntity || !strings.Contains(body, "comma") {
		t.Errorf("%d %s", status, body)
	}
	if status, to := r.post("/gauges/line/check", begin, "Accept-Language", "de"); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, to)
	}
	events := r.events("/gauges/line/check/stream")
	take := func(shown string) {
		t.Helper()
		r.reads("line", shown)
		r.next(events, func(e event) bool { return e.name == "regions" && strings.Contains(e.data, shown) })
		if status, body := r.post("/gauges/line/check/take", nil, "X-Script", "1"); status != http.StatusNoContent {
			t.Fatalf("%d %s", status, body)
		}
	}
	if status, body := r.post("/gauges/line/check/record", nil); status != http.StatusConflict || !strings.Contains(body, "2 readings at zero are still missing") {
		t.Errorf("%d %s", status, body)
	}
	take("0.011")
	if status, body := r.post("/gauges/line/check/take", nil, "X-Script", "1"); status != http.StatusConflict || !strings.Contains(body, "no new reading") {
		t.Errorf("the same reading was taken twice: %d %s", status, body)
	}
	take("0.999")
	r.post("/gauges/line/check/drop", nil)
	take("0.012")
	if status, _ := r.post("/gauges/line/check/adjusted", nil); status != http.StatusSeeOther {
		t.Error(status)
	}
	take("0.000")
	take("0.001")
	if status, to := r.post("/gauges/line/check/record", url.Values{"remark": {"set"}}); status != http.StatusSeeOther || to != "/gauges/line" {
		t.Fatalf("%d %s", status, to)
	}
	r.next(events, func(e event) bool { return e.name == "leave" })
	h, err := r.station.Health("line")
	if err != nil || h.Checks != 1 || h.Last.Left == nil || h.Last.Result.Worst.Repeats != 2 {
		t.Fatalf("%+v, %v", h, err)
	}
	// The check has one uncertainty, wherever it stands: its own, of few repeats.
	decides := h.Last.Result.Decides()
	around := say.Around(r.page.catalogue.In("en"), decides.Error.Metres(), decides.Expanded().Metres(), gauge.Millimetre)
	if page := html.UnescapeString(r.has("/gauges/line", nil, "periodic (set)", "quality", "no limit stated")); strings.Count(page, around) < 3 || decides.Coverage() < 3 {
		t.Errorf("%s stands %d times, k = %g:\n%s", around, strings.Count(page, around), decides.Coverage(), page)
	}
	_, svg := r.get("/gauges/line/drift.svg", "Accept-Language", "de")
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if !strings.Contains(svg, "Abweichung in µm") || !strings.Contains(svg, "+11,5 µm") {
		t.Error(svg)
	}
}

// TestCheckByButton: a gauge with a button is read at each press.
func TestCheckByButton(t *testing.T) {
	r := newRig(t)
	r.post("/gauges/button/check", url.Values{"by": {"quality"}, "master": {"zero"}, "repeats": {"2"}})
	events := r.events("/gauges/button/check/stream")
	r.reads("button", "0.001")
	r.next(events, func(e event) bool { return e.name == "tone" })
	r.reads("button", "0.002")
	r.next(events, func(e event) bool { return strings.Contains(e.data, "All readings taken") })
	if status, body := r.post("/gauges/button/check/take", nil); status != http.StatusConflict || !strings.Contains(body, "press it") {
		t.Errorf("%d %s", status, body)
	}
	if status, _ := r.post("/gauges/button/check/cancel", nil); status != http.StatusSeeOther {
		t.Error(status)
	}
	if h, err := r.station.Health("button"); err != nil || h.Checks != 0 {
		t.Errorf("%+v %v", h, err)
	}
}

// TestCheckByEye: what a gauge without a connection shows is typed in, in its unit,
// and stored with the check.
func TestCheckByEye(t *testing.T) {
	r := newRig(t)
	r.post("/gauges/micrometer/check", url.Values{"by": {"quality"}, "master": {"zero"}, "repeats": {"2"}})
	r.has("/gauges/micrometer/check", []string{"Accept-Language", "de"}, "Angezeigter Wert in mm", `id="shown"`)
	take := func(shown string, headers ...string) (int, string) {
		return r.post("/gauges/micrometer/check/take", url.Values{"shown": {shown}}, headers...)
	}
	if status, body := take("0,001"); status != http.StatusUnprocessableEntity || !strings.Contains(body, "comma") {
		t.Errorf("%d %s", status, body)
	}
	for i := range 2 { // the same twice is two readings
		if status, body := take("0,001", "Accept-Language", "de"); status != http.StatusSeeOther {
			t.Fatalf("%d %s", status, body)
		}
		if readings, err := r.station.Readings(t.Context(), gauge.Query{Gauge: "micrometer", Limit: 10}); err != nil || len(readings) != i+1 {
			t.Errorf("%d readings are stored as %d are typed, %v", len(readings), i+1, err)
		}
	}
	if status, body := r.post("/gauges/micrometer/check/record", nil); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	readings, err := r.station.Readings(t.Context(), gauge.Query{Gauge: "micrometer", Limit: 10})
	if err != nil || len(readings) != 2 || readings[1].Reading.Shown != "0.001" || readings[1].Reading.EnteredBy != "quality" {
		t.Errorf("%+v, %v", readings, err)
	}
}

func TestStanding(t *testing.T) {
	r := newRig(t)
	if status, body := r.post("/gauges/line/standing", url.Values{"standing": {"suspect"}, "by": {"q"}}); status != http.StatusUnprocessableEntity || !strings.Contains(body, "say why") {
		t.Errorf("%d %s", status, body)
	}
	r.post("/gauges/line/standing", url.Values{"standing": {"suspect"}, "by": {"q"}, "reason": {"it was dropped"}})
	r.has("/gauges", nil, "To do now: 1. Checks and calibrations due: 0. Later this week: 0.", "Do not use", "suspect", "it was dropped")
	r.has("/gauges/line", nil, "Check it against a master now", "<dd>now</dd>")
	r.has("/gauges", []string{"Accept-Language", "de"}, "Jetzt gegen ein Normal prüfen")
	r.post("/gauges/line/standing", url.Values{"standing": {"in service"}, "by": {"chief"}, "reason": {"it was checked"}})
	r.has("/gauges/line", nil, "History of the standing", "it was dropped (q)", "it was checked (chief)")
	r.has("/gauges/line", []string{"Accept-Language", "de"}, "Verlauf des Status")
}

// TestInServiceByHand: the pages say that a gauge that failed a check was put into service
// without one that passed, who did it and why, until one passes.
func TestInServiceByHand(t *testing.T) {
	limit, spread := gauge.MustLength("0.004", gauge.Millimetre), gauge.MustLength("0.0005", gauge.Millimetre)
	r := newRig(t, func(o *station.Options) {
		o.Gauges[2].Ability = gauge.Ability{Unit: gauge.Millimetre, Error: &limit, Repeats: &gauge.Pooled{Deviation: spread, Freedom: 20}}
	})
	r.typedCheck("0.900", "0.900")
	r.has("/gauges/micrometer", nil, "suspect")
	r.post("/gauges/micrometer/standing", url.Values{"standing": {"in service"}, "by": {"chief"}, "reason": {"I trust it"}})
	by := "was put into service by hand on"
	r.has("/gauges", nil, "A check is due now", by)
	r.has("/gauges", []string{"Accept-Language", "de"}, "Eine Prüfung ist fällig", "von Hand wieder in Einsatz genommen (I trust it) und hat seither keine Prüfung bestanden")
	r.has("/gauges/micrometer", nil, by, "by chief (I trust it), and passed no check since")
	r.typedCheck("0.000", "0.000")
	if _, body := r.get("/gauges/micrometer"); strings.Contains(body, by) {
		t.Error("it passed a check, and the page says that it did not")
	}
}

// TestRecallOnThePages: after a failed check the list of what is to be done leads to the jobs
// before it until somebody has said what was decided about them, whatever becomes of the gauge.
func TestRecallOnThePages(t *testing.T) {
	limit := gauge.MustLength("0.004", gauge.Millimetre)
	r := newRig(t, func(o *station.Options) {
		o.Gauges[2].Ability = gauge.Ability{Unit: gauge.Millimetre, Error: &limit, Repeats: &gauge.Pooled{Deviation: gauge.MustLength("0.0005", gauge.Millimetre), Freedom: 20}}
	})
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"SC-1"}, "technician": {"demo"}, "gauge.depth": {"micrometer"}, "gauge.height": {"micrometer"}})
	r.typedCheck("0.900", "0.900")
	line := []string{`<a href="/gauges/micrometer/recall">micrometer</a>`, "Look at the past jobs, decide about them", "nobody has decided about the jobs"}
	r.has("/gauges", nil, line...)
	r.post("/gauges/micrometer/standing", url.Values{"standing": {"retired"}, "by": {"chief"}, "reason": {"worn"}})
	r.has("/gauges", nil, line...)
	r.has("/gauges", []string{"Accept-Language", "de"}, "Frühere Aufträge ansehen", "sofort", "über die zuvor damit gemessenen Aufträge ist nicht entschieden")
	if _, body := r.get("/gauges/micrometer/recall"); !strings.Contains(body, "nobody has decided") || strings.Contains(body, `<form method="post" action="/gauges/micrometer/recall"`) {
		t.Error("what was decided is asked before anybody looked at the jobs")
	}
	r.has("/gauges/micrometer/recall?go=1", nil, `<form method="post" action="/gauges/micrometer/recall"`)
	if status, body := r.post("/gauges/micrometer/recall", url.Values{"by": {"chief"}}); status != http.StatusUnprocessableEntity || !strings.Contains(body, "say what was decided") {
		t.Errorf("%d %s", status, body)
	}
	if status, body := r.post("/gauges/micrometer/recall", url.Values{"by": {"chief"}, "reason": {"none shipped"}}); status != http.StatusSeeOther {
		t.Errorf("%d %s", status, body)
	}
	r.has("/gauges/micrometer/recall", nil, "by chief: none shipped")
	if _, body := r.get("/gauges"); strings.Contains(body, "nobody has decided") {
		t.Error("it was decided, and the list still says that it was not")
	}
}

// typedCheck records a check of the micrometer at the master zero.
func (r *rig) typedCheck(shown ...string) {
	r.Helper()
	at := station.CheckPoint{Master: "zero"}
	for _, one := range shown {
		at.Typed = append(at.Typed, station.TypedReading{Shown: one, Unit: gauge.Millimetre})
	}
	if _, err := r.station.RecordCheck(r.Context(), station.CheckRequest{Gauge: "micrometer", By: "q", Found: []station.CheckPoint{at}}); err != nil {
		r.Fatal(err)
	}
}

// TestVoidCheck: a mistaken check is struck, with who voided it and why; a check of a
// laboratory has its certificate.
func TestVoidCheck(t *testing.T) {
	r := newRig(t)
	r.typedCheck("0.900", "0.900")
	checks, err := r.station.Checks(t.Context(), "micrometer")
	if err != nil || len(checks) != 1 {
		t.Fatal(checks, err)
	}
	void := url.Values{"check": {strconv.FormatUint(checks[0].Seq, 10)}, "by": {"quality"}}
	if status, body := r.post("/gauges/micrometer/void", void); status != http.StatusUnprocessableEntity || !strings.Contains(body, "say why check") {
		t.Errorf("%d %s", status, body)
	}
	void.Set("reason", "it was the block of 1 mm")
	if status, body := r.post("/gauges/micrometer/void", void); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	r.has("/gauges/micrometer", nil, ` class="void">`, "declared void by quality on", "it was the block of 1 mm")
	r.has("/gauges/micrometer", []string{"Accept-Language", "de"}, "für ungültig erklärt von quality am")
	if checks, err = r.station.Checks(t.Context(), "micrometer"); err != nil || len(checks) != 0 {
		t.Errorf("%d checks count, %v", len(checks), err)
	}
	past := health.PastCheck{Time: time.Now().AddDate(-1, 0, 0), Place: "laboratory", Certificate: "K-17", Found: []check.Stated{{
		Master: "zero", Uncertainty: gauge.Expanded{Uncertainty: gauge.MustLength("0.001", gauge.Millimetre), K: gauge.MustLength("2", gauge.One)},
	}}}
	if _, problems, err := r.station.ImportChecks(t.Context(), health.ImportRequest{Gauge: "micrometer", By: "chief", Checks: []health.PastCheck{past}}); err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	r.has("/gauges/micrometer", nil, "laboratory K-17", "imported by chief on")
}

// TestControlCharts: there are none before there is something to compare with; then a
// check far off is pointed at, and the gauge comes first in the list.
func TestControlCharts(t *testing.T) {
	var days atomic.Int64 // checks of one day are one point of a chart
	r := newRig(t, func(o *station.Options) {
		o.Now = func() time.Time { return time.Now().AddDate(0, 0, int(days.Load())) }
	})
	check := func(shown string) {
		days.Add(1)
		r.typedCheck(shown)
	}
	if status, _ := r.get("/gauges/micrometer/control/cusum.svg"); status != http.StatusNotFound {
		t.Error(status)
	}
	check("0.003")
	r.has("/gauges/micrometer", nil, "No control charts yet:", "from the third check")
	for i := range 10 {
		check(fmt.Sprintf("0.00%d", 3*i%7))
	}
	check("0.040")
	r.has("/gauges/micrometer", nil, "Signals of the charts", "beyond its limits", `href="/gauges/micrometer/control/individuals.svg?point=zero"`, `<strong>zero</strong> (decides)`)
	r.has("/gauges/micrometer", nil, `<details class="chart" id="control-individuals" open>`, `href="/gauges/micrometer?point=zero#control-title"`)
	for name, want := range map[string]string{"individuals": "obere Grenze", "cusum": "Summe unter der"} {
		r.drawn("/gauges/micrometer/control/" + name + ".svg")
		if _, svg := r.get("/gauges/micrometer/control/"+name+".svg", "Accept-Language", "de"); !strings.Contains(svg, want) || pointed(svg) != "" || name == "individuals" && !strings.Contains(svg, "Signal der Karte") {
			t.Errorf("%s: no %q in %s", name, want, svg)
		}
	}
	for _, at := range []string{"/gauges/micrometer?point=zero", "/gauges/micrometer/drift.svg?point=zero"} {
		if status, _ := r.get(at); status != http.StatusOK {
			t.Errorf("%s: %d", at, status)
		}
	}
	if status, _ := r.get("/gauges/micrometer?point=nowhere"); status != http.StatusNotFound {
		t.Error(status)
	}
	for _, name := range []string{"pie.svg", "cusum", "title.svg", "ewma.svg", "cusum.svg?point=nowhere"} {
		if status, _ := r.get("/gauges/micrometer/control/" + name); status != http.StatusNotFound {
			t.Errorf("%s: %d", name, status)
		}
	}
	list := r.has("/gauges", nil, "calibrations due: 0", "To do this week", `<a href="/gauges/micrometer">micrometer</a></td><td data-head="What to do">Look at its control charts`, "beyond its limits")
	if strings.Index(list, `id="gauge-micrometer"`) > strings.Index(list, `id="gauge-button"`) {
		t.Error("what somebody should look at does not come first")
	}
}

// TestStepIsShown: the page says that the error jumped between two checks, and where
// each master stands.
func TestStepIsShown(t *testing.T) {
	start := time.Now()
	var days atomic.Int64
	r := newRig(t, func(o *station.Options) { o.Now = func() time.Time { return start.AddDate(0, 0, int(days.Load())) } })
	for i, shown := range []string{"0.000", "0.001", "0.000", "0.001", "0.002", "0.001", "0.051", "0.052", "0.051", "0.050", "0.052", "0.051"} {
		days.Store(int64(30 * i))
		r.typedCheck(shown)
	}
	r.has("/gauges/micrometer", nil, "the error jumped by &#43;50.3 µm. Was the gauge adjusted, dropped or repaired then?", "<strong>zero</strong> (decides)", "<td>&#43;51.45 ± 0.89 µm</td>")
}

// TestFarOffIsAskedBackByPage: a reading that was typed with a factor is asked back where the
// check is recorded; no leads back to the check, and yes records it.
func TestFarOffIsAskedBackByPage(t *testing.T) {
	r := newRig(t)
	r.post("/gauges/micrometer/check", url.Values{"by": {"q"}, "master": {"zero"}, "repeats": {"1"}})
	r.post("/gauges/micrometer/check/take", url.Values{"shown": {"2500"}})
	status, body := r.post("/gauges/micrometer/check/record", url.Values{"remark": {"new"}})
	if status != http.StatusPreconditionRequired {
		t.Fatalf("%d %s", status, body)
	}
	for _, want := range []string{"a reading of 2500 mm at master zero of 0 mm is far off", `name="sure" value="1"`, `name="remark" value="new"`, `id="not-sure" href="/gauges/micrometer/check"`} {
		if !strings.Contains(body, want) {
			t.Errorf("no %s in %s", want, body)
		}
	}
	if status, to := r.post("/gauges/micrometer/check/record", url.Values{"remark": {"new"}, "sure": {"1"}}); status != http.StatusSeeOther || to != "/gauges/micrometer" {
		t.Errorf("%d %s", status, to)
	}
}

// TestFarOffIsSaidAtOnce: a wrong master is said while its reading is the newest one, and not
// after the last master; the reading that is dropped is said no more.
func TestFarOffIsSaidAtOnce(t *testing.T) {
	r := newRig(t)
	r.post("/gauges/micrometer/check", url.Values{"by": {"q"}, "master": {"zero"}, "repeats": {"2"}})
	events := r.events("/gauges/micrometer/check/stream")
	r.next(events, region("points", `id=\"shown\"`))
	r.post("/gauges/micrometer/check/take", url.Values{"shown": {"25.000"}})
	r.next(events, tone("refused"))
	r.has("/gauges/micrometer/check", nil, `<p id="far-off" class="sign bad">a reading of 25 mm at master zero of 0 mm is far off`, "asked once more when the check is saved")
	r.post("/gauges/micrometer/check/drop", nil)
	r.post("/gauges/micrometer/check/take", url.Values{"shown": {"0.001"}})
	if _, body := r.get("/gauges/micrometer/check"); strings.Contains(body, "far-off") {
		t.Error("what was dropped is still said")
	}
}

// The cards of gauges show a reading as people read it, as the page of a job does.
func TestShownOnACardAsRead(t *testing.T) {
	r := newRig(t)
	r.reads("line", "+025.214")
	for changed := r.station.Changed(); ; changed = r.station.Changed() {
		if _, body := r.get("/gauges/line"); strings.Contains(body, "25.214") {
			break
		}
		<-changed
	}
	if status, body := r.get("/gauges/line"); status != http.StatusOK || !strings.Contains(body, ">25.214</span>") || strings.Contains(body, "+025.214") {
		t.Errorf("status %d, and the card shows %s", status, body)
	}
}
