//go:build page

package pagetest

import (
	"fmt"
	"slices"
	"testing"

	"github.com/chromedp/cdproto/page"
)

// loaded is what it took to show a view.
type loaded struct {
	Bytes, Files float64 // on the wire, with the headers of the answers
	Paint        float64 // first text or picture, in ms from the navigation
	Reading      float64 // first reading, likewise; 0 where the view has none
}

// noting notes in a new document when the first reading is there.
const noting = `new MutationObserver(() => {
	if (!window.reading && /\d[.]\d{3}/.test(document.querySelector(%q || "none")?.textContent ?? "")) window.reading = performance.now();
}).observe(document, { subtree: true, childList: true, characterData: true })`

// BenchmarkPageWeight is what each view weighs on the wire when the browser has
// nothing of it, and how long it takes from the navigation until something, and
// the first reading, is drawn: the median of five.
func BenchmarkPageWeight(b *testing.B) {
	places := slices.Concat([]place{{"start", "/", ""}, {"gauges", "/gauges", "#list"}, {"sheet", "/jobs/1/sheet", ""}}, livePlaces)
	for _, p := range places {
		b.Run(p.name, func(b *testing.B) {
			for b.Loop() {
				t := newBench(b)
				if p.name == "sheet" {
					t.wholeJob()
				}
				p.prepare(t)
				var all []loaded
				for range 5 {
					all = append(all, t.load(p))
				}
				median := func(of func(loaded) float64) float64 {
					slices.SortFunc(all, func(x, y loaded) int { return int(of(x)*1000 - of(y)*1000) })
					return of(all[len(all)/2])
				}
				b.ReportMetric(median(func(l loaded) float64 { return l.Bytes })/1024, "KiB")
				b.ReportMetric(median(func(l loaded) float64 { return l.Files }), "files")
				b.ReportMetric(median(func(l loaded) float64 { return l.Paint }), "ms-first-paint")
				if p.element != "" {
					b.ReportMetric(median(func(l loaded) float64 { return l.Reading }), "ms-first-reading")
				}
			}
			b.ReportMetric(0, "ns/op")
		})
	}
}

func (b *bench) load(p place) loaded {
	b.Helper()
	s := b.newScreen("en")
	s.do(command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: fmt.Sprintf(noting, p.element)}))
	s.open(p.path)
	if p.element != "" {
		s.until("window.reading")
	}
	s.until(`performance.getEntriesByName("first-contentful-paint").length`)
	return value[loaded](s, `(() => {
		const files = ["navigation", "resource"].flatMap((kind) => performance.getEntriesByType(kind)).filter((f) => f.transferSize);
		return { Files: files.length, Bytes: files.reduce((sum, f) => sum + f.transferSize, 0), Reading: window.reading ?? 0,
			Paint: performance.getEntriesByName("first-contentful-paint")[0].startTime };
	})()`)
}
