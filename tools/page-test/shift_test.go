//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// shifting keeps what the browser says of things that moved, also just after an input.
const shifting = `window.shifts = [];
new PerformanceObserver((list) => {
	for (const e of list.getEntries()) for (const s of e.sources) shifts.push((s.node?.outerHTML ?? "").slice(0, 60) + " by " + e.value.toFixed(4));
}).observe({ type: "layout-shift", buffered: true })`

// TestNothingMoves: while the digits get and lose their sign and their gauge goes and
// comes, nothing on the screen moves.
func TestNothingMoves(t *testing.T) {
	b := newBench(t)
	w := newWork(b)
	w.do(command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: shifting}), reload)
	w.acknowledge()
	w.shows("#live", "25.210")
	w.settled()
	w.do(chromedp.Evaluate[chromedp.Void](`window.shifts = []`))
	for _, shown := range []string{"-25.210", "25.210"} {
		b.hands("set indicator " + shown)
		w.until(`((document.querySelector("#live .minus").textContent.trim() !== "") === ` + map[bool]string{true: "true", false: "false"}[shown[0] == '-'] + `)`)
	}
	b.hands("unplug indicator")
	w.there("#take[aria-disabled=true]")
	b.hands("plug indicator")
	w.there("#take:not([aria-disabled])")
	w.touch("#take")
	w.shows("#bar .last", "25.210")
	w.settled()
	for _, moved := range value[[]string](w.screen, "window.shifts") {
		t.Error(moved)
	}
	w.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#step").style.marginTop = "200px"`))
	w.until("window.shifts.length > 0") // it would have been seen
}
