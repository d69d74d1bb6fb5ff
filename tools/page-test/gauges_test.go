//go:build page

package pagetest

import (
	"strings"
	"testing"
)

// TestGauges: a gauge is pulled out and put in again while the page is open.
func TestGauges(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 0.123", "set depth 25.004", "press depth")
	s := b.newScreen("en")
	s.open("/gauges")
	s.shows(`[aria-labelledby="gauge-indicator"]`, "0.123 mm", "live", "Never checked")
	s.shows(`[aria-labelledby="gauge-depth"]`, "25.004 mm", "ago")
	value[bool](s, `window.sameDocument = true`)
	s.look("gauges")

	b.hands("unplug indicator")
	s.shows(`[aria-labelledby="gauge-indicator"]`, "not plugged in")
	s.there(`[aria-labelledby="gauge-indicator"] .digits.stale`)
	s.look("gauges-unplugged")
	b.hands("plug indicator", "set indicator -0.456")
	s.shows(`[aria-labelledby="gauge-indicator"]`, "-0.456 mm", "live")
	s.until("window.sameDocument")

	german := b.newScreen("de")
	german.open("/gauges/indicator")
	german.shows("#now", "-0,456 mm", "sendet")
	german.look("gauge-german")
	b.hands("set indicator 1.234")
	german.shows("#now", "1,234 mm")
}

// TestCheckAgainstMasters makes a check of a gauge with a button, with a reload
// in the middle and a second screen that follows.
func TestCheckAgainstMasters(t *testing.T) {
	b := newBench(t)
	s, other := b.newScreen("en"), b.newScreen("en")
	s.open("/gauges/depth")
	s.touch(`a[href="/gauges/depth/check"]`)
	s.shows("main", "zero: the faces closed, or on a plane: 2", "block-25: Gauge block 25 mm: 2")
	s.look("check-begin")
	s.fill("input[name=by]", "demo")
	s.fill("input[name=temperature]", "20.5")
	s.touch("main form button")

	s.shows("#points", "Now measure: zero")
	b.hands("set depth 0.001", "press depth")
	s.shows("#points", "0.001")
	other.open("/gauges/depth/check")
	other.shows("#points", "0.001")
	s.do(reload)
	s.shows("#points", "0.001", "Now measure: zero")
	b.hands("set depth 0.090", "press depth")
	s.shows("#points", "0.090", "Now measure: block-25")
	s.touch("#drop")
	s.until(`!document.querySelector("#points").innerText.includes("0.090")`)
	b.hands("set depth 0.000", "press depth", "set depth 25.001", "press depth", "set depth 25.002", "press depth")
	s.shows("#points", "All readings taken")
	s.look("check-done")
	s.settled()
	s.touch("#record")

	for _, screen := range []*screen{s, other} {
		screen.shows("h1", "depth Depth gauge")
		screen.shows("main", "passed")
		screen.there("svg.chart")
	}
	s.look("gauge")
}

// TestOutOfService: a gauge is taken out of service by hand, with a reason.
func TestOutOfService(t *testing.T) {
	b := newBench(t)
	s, other := b.newScreen("en"), b.newScreen("en")
	other.open("/gauges")
	s.open("/gauges/indicator")
	s.choose("select[name=standing]", "suspect")
	s.fill("input[name=reason]", "fell from the bench")
	s.fill("form[action$=standing] input[name=by]", "demo")
	s.touch("form[action$=standing] button")
	s.shows("main", "suspect: fell from the bench")
	other.shows(`[aria-labelledby="gauge-indicator"]`, "Do not use", "fell from the bench")
	s.look("gauge-suspect")
}

// TestRecall: what an error of the indicator did to a past verdict.
func TestRecall(t *testing.T) {
	b := newBench(t)
	b.wholeJob()
	s := b.newScreen("en")
	s.open("/gauges/indicator")
	s.touch(`a[href="/gauges/indicator/recall"]`)
	s.fill("input[name=error]", "-80")
	s.choose("select[name=unit]", "um")
	s.touch("main form button")
	s.shows("main table", "L2-0417", "Conforms", "Does not conform", "0.152 mm", "0.232 mm")
	s.look("recall")
	if table := string(b.fetch("/gauges/indicator/recall.csv?go=1&unit=um&error=-80")); !strings.Contains(table, "L2-0417") {
		t.Errorf("the table to take away has no L2-0417: %s", table)
	}
}
