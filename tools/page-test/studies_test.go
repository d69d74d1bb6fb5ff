//go:build page

package pagetest

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// refill types into a field that has something in it already.
func (s *screen) refill(selector, text string) {
	s.Helper()
	s.until(`(document.querySelector(` + strconv.Quote(selector) + `).value = "") === ""`)
	s.fill(selector, text)
}

// TestStudy measures a study of an indicator that sends all the time, with a reload
// in the middle, a reading that is taken back, and a second screen that follows.
func TestStudy(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 0.000")
	s, other := b.newScreen("en"), b.newScreen("de")
	s.open("/gauges/indicator")
	s.touch(`a[href="/gauges/indicator/study"]`)
	s.look("study-begin")
	s.refill(`form[aria-labelledby=by-parts] input[name=parts]`, "3")
	s.fill(`form[aria-labelledby=by-parts] input[name=persons]`, "Ann,Ben")
	s.refill(`form[aria-labelledby=by-parts] input[name=trials]`, "2")
	s.refill(`form[aria-labelledby=by-parts] input[name=seed]`, "0")
	s.fill(`form[aria-labelledby=by-parts] input[name=tolerance]`, "0.5")
	s.fill(`form[aria-labelledby=by-parts] input[name=by]`, "demo")
	s.touch(`form[aria-labelledby=by-parts] button`)

	s.shows("#steps", "Now Ann measures.", "Ann: part 1", "Reading 1 of 12")
	other.open("/gauges/indicator/study")
	take := func(shown string) {
		t.Helper()
		b.hands("set indicator " + shown)
		s.shows("#now", shown)
		s.touch("#take")
		s.shows(".readings-so-far tbody tr:first-child", shown)
	}
	take("1.011")
	other.shows("#steps", "Ann: Teil 2", "1,011")
	s.do(reload)
	s.shows("#steps", "Ann: part 2", "1.011")
	take("7.000")
	s.touch("#drop")
	s.shows("#steps", "Reading 2 of 12")
	for _, shown := range strings.Fields("1.202 1.303") {
		take(shown)
	}
	s.shows("#steps", "Now Ben measures.")
	s.look("study")
	other.look("study-german")
	for _, shown := range strings.Fields("1.014 1.206 1.301 1.009 1.204 1.306 1.012 1.201 1.307") {
		take(shown)
	}
	s.shows("#steps", "All readings taken")
	s.look("study-done")
	s.touch("#record")
	s.shows("h1", "of gauge indicator")
	s.shows("main", "Acceptable", "readings taken back: 1")
	s.there("svg.chart")
	s.look("studied")
	other.shows("h1", "von Messmittel indicator")
	other.shows("main", "Annehmbar", "Vergleichpräzision")
	other.look("studied-german")

	s.open("/gauges/indicator")
	s.shows("main", "gauge and persons, crossed")
}

// TestStudyByButton: a study of a gauge with a data button that gives no figures is
// refused with the reason, in view of the readings.
func TestStudyByButton(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.open("/gauges/depth/study")
	s.touch(`form[aria-labelledby=by-masters] input[value=block-25]`)
	s.fill(`form[aria-labelledby=by-masters] input[name=trials]`, "2")
	s.fill(`form[aria-labelledby=by-masters] input[name=by]`, "demo")
	s.touch(`form[aria-labelledby=by-masters] button`)
	s.shows("#steps", "master block-25", "Press the button of the gauge.")
	b.hands("set depth 25.001", "press depth")
	s.shows("#steps", "Reading 2 of 2")
	// The same once more sooner than a second would be the bounce of the button.
	s.until(`/\b[1-9]\d* s ago/.test(document.querySelector("#now").innerText)`)
	b.hands("press depth")
	s.shows("#steps", "All readings taken")
	s.touch("#record")
	s.shows("#steps", "These readings cannot be evaluated:", "equal")
	s.look("study-refused")
	s.touch("#cancel")
	s.shows("h1", "depth Depth gauge")
}

// daily gives a gauge a past: a check at zero on each of the last days, for those of one
// day are one point of a chart.
func (b *bench) daily(gauge string, off ...string) {
	b.Helper()
	table := "time,master,value,error,uncertainty,k\n"
	for i, one := range off {
		day := time.Now().UTC().AddDate(0, 0, i-len(off))
		table += fmt.Sprintf("%s,zero,0,%s,0.001,2\n", day.Format(time.RFC3339), one)
	}
	path := filepath.Join(b.dir, "past.csv")
	if err := os.WriteFile(path, []byte(table), 0o600); err != nil {
		b.Fatal(err)
	}
	b.gaugectl("master", "import", gauge, path, "--unit", "mm", "--by", "demo")
}

// TestGaugeChecked: control charts, and studies from the stored checks at one touch.
func TestGaugeChecked(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	b.hands("set indicator 0.500") // so that each reading is seen to come
	b.daily("indicator", "0.000", "0.002", "0.001", "0.003", "0.001", "0.002", "0.000", "0.002", "0.003", "0.001")
	for _, one := range strings.Fields("0.009 0.011 0.008 0.010 0.009 0.011 0.008 0.010 0.009") {
		s.open("/gauges/indicator/check")
		s.fill("input[name=by]", "demo")
		s.touch("input[value=zero]")
		s.refill("input[name=repeats]", "1")
		s.touch("main form button")
		s.there("#take") // the check has begun: what it shows from now on counts
		b.hands("set indicator " + one)
		s.shows("#now", one)
		s.touch("#take")
		s.shows("#points", "All readings taken")
		s.touch("#record")
		s.shows("h1", "indicator Indicator on the stand")
	}
	s.shows("main", "Signals of the charts", "beyond its limits")
	s.touch("#control-cusum summary")
	s.there("#control-cusum[open] svg.chart")
	s.look("gauge-charts")
	s.touch(`button[value=stability]`)
	s.shows("main", "from its checks, not saved")
	s.look("study-from-checks")
	s.fill("input[name=by]", "demo")
	s.touch("main form button")
	s.until(`location.pathname.startsWith("/studies/") && document.readyState === "complete"`)
	s.open("/gauges")
	s.shows("#summary", "To do this week", "indicator", "before it is used again")
	s.look("gauges-summary")
}

// TestChartsInStrongLight: in the light for a bright shop every line and letter of the charts has
// a contrast of 3, and 7, to what is behind it, and no line is thinner than 1.5 points.
func TestChartsInStrongLight(t *testing.T) {
	b := newBench(t)
	b.daily("indicator", "0.000", "0.002", "0.001", "0.003", "0.001", "0.002", "0.000", "0.002", "0.003", "0.001", "0.009", "0.011", "0.008", "0.010")
	s := b.newScreen("en")
	s.open("/gauges/indicator")
	s.there("section[aria-labelledby=drift-title] svg.chart")
	s.do(chromedp.Evaluate[chromedp.Void](`document.documentElement.dataset.light = "strong"; document.querySelectorAll("details.chart").forEach((e) => (e.open = true))`))
	s.keep("charts-strong.png", see(s, chromedp.FullScreenshot(100)))
	for _, faint := range value[[]string](s, `(() => {
		const found = [], light = (c) => c.map((v) => ((v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
		const marks = [...document.querySelectorAll("svg.chart path, svg.chart circle, svg.chart text")].filter((e) => e.checkVisibility());
		for (const e of marks) {
			const style = getComputedStyle(e), text = e.localName === "text", paint = text ? style.fill : style.stroke;
			if (!paint.startsWith("rgb")) continue;
			const alpha = text ? 1 : Number(style.strokeOpacity), ground = 255;
			const contrast = 1.05 / (light(paint.match(/[\d.]+/g).slice(0, 3).map((v) => v * alpha + ground * (1 - alpha))) + 0.05);
			if (contrast < (text ? 7 : 3)) found.push(e.outerHTML.slice(0, 90) + ": contrast " + contrast.toFixed(1));
			if (!text && parseFloat(style.strokeWidth) * e.getScreenCTM().a < 1.5) found.push(e.outerHTML.slice(0, 90) + ": thin");
		}
		return marks.length > 50 ? found : [marks.length + " marks"];
	})()`) {
		t.Error(faint)
	}
}
