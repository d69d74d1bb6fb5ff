//go:build page

package pagetest

import (
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// shiftsKept keeps what the browser says of things that moved in a whole visit, over all
// its pages: also what moved just after an input, which the browser's own sum leaves out.
const shiftsKept = `new PerformanceObserver((list) => {
	const all = JSON.parse(sessionStorage.shifts ?? "[]");
	for (const e of list.getEntries()) {
		const moved = e.sources.map((s) => (s.node?.outerHTML ?? s.node?.textContent ?? "").slice(0, 70) + " from " + [s.previousRect.x, s.previousRect.y].map(Math.round) + " to " + [s.currentRect.x, s.currentRect.y].map(Math.round));
		all.push({ Value: e.value, Input: e.hadRecentInput, What: location.pathname + ": " + moved.join("; ") });
	}
	sessionStorage.shifts = JSON.stringify(all);
}).observe({ type: "layout-shift", buffered: true })`

// shift is one thing that moved by itself.
type shift struct {
	Value float64
	Input bool // just after an input
	What  string
}

// TestJobInGerman: a whole job in German, on a phone with fingers and on a bench's screen,
// from the first page to the next unit. By the browser's own measure nothing moves.
func TestJobInGerman(t *testing.T) {
	for _, on := range []struct {
		name       string
		wide, high int64
		touch      func(*screen, string)
	}{
		{"phone", 360, 740, (*screen).finger},
		{"bench", 1280, 800, (*screen).touch},
	} {
		t.Run(on.name, func(t *testing.T) {
			b := newBench(t)
			s := b.newScreen("de")
			s.do(chromedp.EmulateViewport(on.wide, on.high),
				command(emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: on.name == "phone"}),
				command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: shiftsKept}))
			touch := func(selector string) { t.Helper(); on.touch(s, selector) }
			s.open("/")
			s.until(`document.activeElement.id === "serial"`)
			s.press("L2-0417" + kb.Enter)
			s.until(`document.activeElement.name === "procedure"`)
			touch("input[value=ring]")
			s.there("#start")
			s.until(`document.activeElement.id === "technician"`)
			s.press("Ada" + kb.Enter)
			s.until(`document.activeElement.id === "start"`)
			touch("#start")
			s.until(`location.pathname === "/jobs/1"`)
			s.shows("#step", "Messen: Depth of the case, 1 von 2")
			s.fits("measure")
			s.wholeWords()
			b.pressed("depth", "25.210")
			s.shows("#repeats", "25,210")
			b.pressed("depth", "25.214")
			s.shows("#step", "Messen: Height of the cover")
			for i, key := range []string{"2", "3", ".", "4", "6"} {
				touch(fmt.Sprintf("[data-key=%q]", key))
				s.until(fmt.Sprintf(`document.querySelector("#pad-shown").value === "23,46".slice(0, %d)`, i+1))
			}
			s.fits("typed")
			touch("#enter")
			s.shows("#step", "R160 einbauen", "0,152 mm")
			s.fits("fit")
			s.wholeWords()
			touch("#fit")
			b.hands("set indicator 0.152")
			s.shows("#live", "0,152")
			touch("#take")
			s.shows("#step", "In Ordnung", "0,152 mm")
			s.fits("verdict")
			touch("#sign")
			s.closed()
			s.fits("closed")
			s.wholeWords()
			s.settled()
			var sum, after float64
			for _, moved := range value[[]shift](s, `JSON.parse(sessionStorage.shifts ?? "[]")`) {
				if moved.Input {
					after += moved.Value
					t.Logf("%.4f just after an input: %s", moved.Value, moved.What)
				} else {
					sum += moved.Value
					t.Errorf("%.4f: %s", moved.Value, moved.What)
				}
			}
			t.Logf("layout shift of the whole job: %.4f, and %.4f just after inputs", sum, after)
			touch("#next-unit")
			s.until(`location.pathname === "/"`)
		})
	}
}
