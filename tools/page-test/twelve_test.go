//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/memory"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// BenchmarkTwelveHours is the memory of a page that stays open while the
// indicator sends ten times a second for twelve hours. The events of some seconds
// are recorded and then given to the page again, through the handlers of its own
// stream, as fast as it takes them.
func BenchmarkTwelveHours(b *testing.B) {
	const hour = 3600 * 10
	eachPlace(b, func(b *testing.B, p place) {
		t := newBench(b, "every: 50ms", "every: 100ms", "value: 0.000}", "value: 0.000, noise: 0.005}")
		s := p.opened(t, command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: recording}))
		s.until("recorded.length >= 50")
		s.replay(hour) // what grows at first: code that is compiled, pools that are filled
		first := s.memory()
		s.replay(12 * hour)
		last := s.memory()
		b.ReportMetric(first.heap, "KiB-heap-1h")
		b.ReportMetric(last.heap, "KiB-heap-13h")
		b.ReportMetric(float64(first.nodes), "nodes-1h")
		b.ReportMetric(float64(last.nodes), "nodes-13h")
		b.ReportMetric(float64(first.listeners), "listeners-1h")
		b.ReportMetric(float64(last.listeners), "listeners-13h")
		if last.heap > first.heap*1.1+256 || last.nodes > first.nodes+first.nodes/10+100 || last.listeners > first.listeners+20 {
			b.Errorf("it grows: %+v, then %+v", first, last)
		}
	})
}

// recording keeps the events of the page's stream.
const recording = `window.recorded = [];
window.EventSource = class extends EventSource {
	constructor(...a) {
		super(...a);
		window.source = this;
		this.addEventListener("regions", (e) => {
			if (recorded.length < 100 && e.isTrusted) recorded.push([e.data, e.lastEventId]);
		});
	}
}`

// replay gives recorded events to the page again, in turns, and lets it draw in between.
func (s *screen) replay(events int) {
	s.Helper()
	for range events / 4000 {
		s.do(chromedp.Evaluate[chromedp.Void](`(async () => {
			for (let i = 0; i < 4000; i++) {
				const [data, lastEventId] = recorded[i % recorded.length];
				source.dispatchEvent(new MessageEvent("regions", { data, lastEventId }));
				if (i % 500 === 0) await new Promise((done) => requestAnimationFrame(done));
			}
		})()`, chromedp.EvalAwaitPromise))
	}
}

// used is what a page holds in memory.
type used struct {
	heap             float64 // KiB
	nodes, listeners int64
}

func (s *screen) memory() used {
	s.Helper()
	// What only the tools of the browser hold would be counted, too.
	for range 3 {
		s.do(command(heapprofiler.CollectGarbage, cdp.Empty{}))
	}
	heap, err := chromedp.Call(s.ctx, runtime.GetHeapUsage, cdp.Empty{})
	if err != nil {
		s.Fatal(err)
	}
	counters, err := chromedp.Call(s.ctx, memory.GetDOMCounters, cdp.Empty{})
	if err != nil {
		s.Fatal(err)
	}
	return used{heap: (heap.UsedSize + heap.EmbedderHeapUsedSize) / 1024, nodes: counters.Nodes, listeners: counters.JsEventListeners}
}
