package page

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// TestFeelers: an interval takes both thicknesses and no value beside them.
func TestFeelers(t *testing.T) {
	r := newRig(t)
	r.begin()
	r.refuses("enter", r.form("goes", "25.20", "unit", "mm"), http.StatusUnprocessableEntity, "a feeler gauge gives two thicknesses")
	r.refuses("enter", r.form("goes", "25.20", "stays", "25.25", "shown", "25.2", "unit", "mm"), http.StatusUnprocessableEntity, "but not both")
	r.refuses("enter", r.form("goes", "25.20", "stays", "35.25", "unit", "mm"), http.StatusPreconditionRequired, "outside of what this measurement can give")
}

// TestOtherPart: another part than the recommended one is settled with a reason;
// after a bad proof a second one is fitted and proved anew, its thickness from a gauge.
func TestOtherPart(t *testing.T) {
	r := newRig(t)
	r.begin()
	for _, shown := range []string{"25.200", "25.202", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.has("/jobs/1", nil, ` required data-keep=""><option value=""></option><option value="R150">R150 (1) 1.500 mm: 0.241 mm, does not fit, 4 in stock<`, ">R160 (3) 1.600 mm: 0.141 mm, fits, 2 in stock<")
	r.lacks("/jobs/1", `R150" selected`)
	r.refuses("choose", r.form("part", "R150"), http.StatusUnprocessableEntity, "say why it is taken")
	r.does("choose", []string{"part", "R150", "reason", "the last one"})
	r.has("/jobs/1", nil, "Fit R150", "<strong>0.241 mm</strong>", `<p class="sign bad">R150 does not fit. Not the recommended part (R160)</p>`, `id="fit"`)
	r.refuses("fit", r.form(), http.StatusPreconditionRequired, "R150 of 1.500 mm would leave play 0.241 mm; allowed is play 0.100 to 0.200 mm. It does not fit. Recommended is R160.")
	r.refuses("fit", r.form(), http.StatusPreconditionRequired, "R150 von 1,500 mm ergäbe Spiel 0,241 mm; zulässig ist Spiel 0,100 bis 0,200 mm. Es passt nicht. Empfohlen ist R160.", "Accept-Language", "de")
	if f := r.job().Evaluation.EachFit()[0].Fitted; f != nil {
		t.Errorf("fitted before it was asked: %+v", f)
	}
	r.does("fit", []string{"sure", "1"})
	r.does("enter", []string{"shown", "0.241", "unit", "mm"})
	r.has("/jobs/1", nil, "Does not conform", "Choose another part", "mark-measured", "Does not conform: 0.241 mm", `>Fit R160</button>`)

	r.does("choose", []string{"part", "R160", "reason", "the first did not conform"})
	r.has("/jobs/1", nil, `class="key">Fit R160<`, `id="fit"`)
	r.refuses("fit", r.form("from", "button"), http.StatusConflict, "gauge button has not sent a reading yet")
	r.refuses("fit", r.form("from", "none"), http.StatusNotFound, `there is no gauge "none"`)
	r.refuses("fit", r.form("from", "line"), http.StatusConflict, "gauge line has not sent a reading yet")
	r.reads("button", "1.603")
	r.await("the reading is there", func() bool { return r.station.Gauges()[0].Last.Reading != nil })
	r.does("fit", []string{"from", "button"})
	if f := r.job().Evaluation.EachFit()[0].Fitted; f == nil || f.Part != "R160" || !f.Measured || *f.Thickness != gauge.MustLength("1.603", gauge.Millimetre) {
		t.Errorf("fitted: %+v", f)
	}
	r.has("/jobs/1", nil, "1.603 mm", "Measure: End play")
	r.does("enter", []string{"shown", "0.140", "unit", "mm"})
	r.has("/jobs/1", nil, "Conforms", "The part was removed and fitted again")
}

// TestReadByEye: a gauge without a connection is bound to its measurement, and
// what it shows is typed in and kept under its name.
func TestReadByEye(t *testing.T) {
	r := newRig(t)
	r.has("/start?procedure=ring&serial=U+7&technician=demo", nil, "micrometer - Micrometer - read by eye and typed in")
	r.begin("depth", "micrometer")
	page := r.has("/jobs/1", nil, "Measure: Depth of the case, 1\u00a0of\u00a02", `id="pad-shown"`, "Read from <strong>micrometer</strong> - Micrometer")
	for _, not := range []string{`id="take"`, `id="pad-instrument"`} {
		if strings.Contains(page, not) {
			t.Errorf("the page has %s", not)
		}
	}
	if n := strings.Count(page, `id="pad"`); n != 1 {
		t.Errorf("%d pads", n)
	}
	r.does("enter", []string{"shown", "25.200", "unit", "mm"})
	if got := r.job().Evaluation.Measurements[0].Readings[0].Gauge; got != "micrometer" {
		t.Errorf("kept under %q", got)
	}
	r.post("/gauges/micrometer/check", url.Values{"by": {"demo"}, "master": {"zero"}})
	page = r.has("/gauges/micrometer", nil, `<span class="digits typed">25.200</span>`, `<span class="state">read by eye and typed in</span>`)
	for at, page := range map[string]string{"/gauges/micrometer": page, "/gauges/micrometer/check": r.has("/gauges/micrometer/check", nil, `id="shown"`)} {
		if strings.Contains(page, "live") {
			t.Errorf("%s: a typed gauge is live:\n%s", at, page)
		}
	}
	r.lacks("/gauges/micrometer/check", "25.200") // what was typed elsewhere is no reading of the check
}

// motionProcedure is invented: the play of a shaft that is pushed to and fro.
const motionProcedure = `procedure: ring
title: End play as found
unit: mm
measure:
  end_play: {title: end play, repeats: 2, agree: 0.010, capture: end stops}
gap: end_play
allow: {result: {min: 0.1, max: 0.3}}
`

// TestMotion: a capture tells on every screen how far it has come, there is one at
// a time, it is stopped by its key, and it gives the readings.
func TestMotion(t *testing.T) {
	r := rigOf(t, motionProcedure)
	r.begin("end_play", "line")
	screen := r.events("/jobs/1/stream")
	r.reads("line", "0.000")
	r.next(screen, region("bar", "Start, then move the shaft"))
	begins := r.side("take")
	capture := func() chan string {
		form, answered := r.form(), make(chan string, 1)
		go func() {
			status, body := r.post("/jobs/1/motion", form, "X-Script", "1")
			answered <- http.StatusText(status) + body
		}()
		return answered
	}
	stopped := capture()
	r.reads("line", "0.000")
	r.next(screen, region("bar", "Move the shaft to and fro"))
	stops := r.side("stop")
	r.refuses("motion", r.form(), http.StatusConflict, "a motion is being captured in job 1 already")
	if status, body := r.post("/jobs/1/motion/stop", nil, "X-Script", "1"); status != http.StatusNoContent {
		t.Errorf("%d %s", status, body)
	}
	if got := <-stopped; got != "No Content" {
		t.Errorf("the stopped capture says %q", got)
	}
	r.next(screen, region("bar", "Start, then move the shaft"))
	if got := readings(r.job()); got != 0 {
		t.Errorf("%d readings were taken by a capture that was stopped", got)
	}

	taken := capture()
	r.await("the capture sees readings", func() bool {
		r.reads("line", "0.000")
		_, body := r.get("/jobs/1")
		return strings.Contains(body, "0 of 2 strokes.")
	})
	at := time.Now()
	for _, end := range []string{"0.000", "0.200", "0.000", "0.200"} { // two ways and more, half a second at each end
		for range 10 {
			at = at.Add(50 * time.Millisecond)
			r.station.Report(station.Report{Reading: &gauge.Reading{
				Gauge: "line", Time: at, Value: gauge.MustLength(end, gauge.Millimetre), Shown: end, Unit: gauge.Millimetre, Status: gauge.StatusOK, Raw: []byte(end),
			}})
		}
	}
	if got := <-taken; got != "No Content" {
		t.Fatalf("the capture says %q", got)
	}
	r.next(screen, tone("taken"))
	r.has("/jobs/1", nil, "0.200 mm", "2 of 2")
	if then := r.side("sign"); begins == stops || stops == then {
		t.Errorf("left is %v for the key that begins, %v for the one that stops, %v for what follows", begins, stops, then)
	}
}

// side reports whether a key of the bar stands at its left.
func (r *rig) side(key string) bool {
	r.Helper()
	page := r.has("/jobs/1", nil, `id="`+key+`" class="key"`)
	return strings.Contains(page, `class="act left"`)
}

// TestAPackByHand: a pack that somebody puts together is settled with a reason, and
// what it would leave is said before it is fitted.
func TestAPackByHand(t *testing.T) {
	r := rigOf(t, "procedure: ring\ntitle: Pack\nunit: mm\nmeasure: {depth: {title: depth}}\ngap: depth\nallow: {play: {min: 0.00, max: 0.10}}\nparts: rings\nchoose: {method: middle, pack: {least: 2, most: 2}}\n")
	r.begin()
	r.does("enter", []string{"shown", "3.15", "unit", "mm"})
	r.has("/jobs/1", nil, "Choose another pack", "part numbers, joined by", `name="part"`)
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "Anderes Paket wählen")
	r.refuses("choose", r.form("part", "R150+R170", "reason", "x"), http.StatusNotFound, `there is no part "R170" in the family rings`)
	r.does("choose", []string{"part", "R160+R160", "reason", "the last ones"})
	r.refuses("fit", r.form(), http.StatusPreconditionRequired, "R160+R160 of 3.200 mm would leave preload 0.050 mm; allowed is play 0.000 to 0.100 mm. It does not fit.")
	r.does("fit", []string{"sure", "1"})
	if f := r.job().Evaluation.EachFit()[0].Fitted; f == nil || *f.Thickness != gauge.MustLength("3.2", gauge.Millimetre) {
		t.Errorf("fitted: %+v", f)
	}
}

// TestListForetells: the list of other parts says of each what it would leave, and how
// probably that is inside, before one is taken. The gasket may be 0.05 mm off either
// way, so that R155 with 0.20 mm of 0.10 to 0.20 mm is inside in half of all cases.
func TestListForetells(t *testing.T) {
	r := rigOf(t, "procedure: ring\ntitle: Ring\nunit: mm\nconstants: {gasket: {value: 0.10, tolerance: 0.05}}\nmeasure: {depth: {title: depth}}\ngap: depth + gasket\nallow: {play: {min: 0.10, max: 0.20}}\nparts: rings\nchoose: {method: middle}\n")
	r.begin()
	r.does("enter", []string{"shown", "1.65", "unit", "mm"})
	r.has("/jobs/1", nil, ">R155 (2) 1.550 mm: 0.200 mm, fits, probability inside 50 %, 0 in stock<", ">R160 (3) 1.600 mm: 0.150 mm, fits, probability inside 100 %, 2 in stock<")
}

// TestFailedPartIsNotOffered: after a bad proof of the part that the sum gives, none
// is recommended, and why; after that of another part the recommended one is.
func TestFailedPartIsNotOffered(t *testing.T) {
	r := newRig(t)
	r.begin()
	for _, shown := range []string{"25.210", "25.212", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("choose", nil)
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.250", "unit", "mm"})
	page := r.has("/jobs/1", nil, "R160 is fitted and its proof failed. The calculation gives the same part again, so no other part is recommended", "R160 <small>fitted, proof failed</small>")
	if strings.Contains(page, "<small>recommended</small>") || strings.Contains(page, "It gives:") {
		t.Error("the part that failed is recommended")
	}
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "also ist kein anderes empfohlen")
	r.does("choose", []string{"part", "R150", "reason", "try"})
	r.does("fit", []string{"sure", "1"})
	r.does("enter", []string{"shown", "0.250", "unit", "mm"})
	page = r.has("/jobs/1", nil, "R150 is fitted and its proof failed. Now recommended: R160.", "<small>recommended</small>")
	if _, proof, _ := strings.Cut(page, `id="proof"`); !regexp.MustCompile(`(?s)^[^>]*>\s*<div class="fetch"><h2>Fit R160</h2>\s*<p>mark <strong>3</strong>, 1\.600 mm`).MatchString(proof) {
		t.Errorf("what to fetch is not said: %.400s", proof)
	}
}
