//go:build page

package pagetest

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/memory"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// atIndicator starts a job that is at a measurement of the indicator, and
// returns the path of its page.
func (b *bench) atIndicator() string {
	b.Helper()
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "*=indicator")
	return "/jobs/1"
}

// watching notes in the page when each new reading is in the document, and when
// it is painted, on the clock of this machine in ms.
const watching = `(() => {
	window.seen = {};
	const now = () => performance.timeOrigin + performance.now();
	const look = () => {
		const shown = document.querySelector("#live")?.textContent.match(/-?\d+\.\d{3}/)?.[0];
		if (!shown || seen[shown]) return;
		const entry = seen[shown] = { document: now() };
		requestAnimationFrame(() => {
			const after = new MessageChannel(); // its message comes when the frame is done
			after.port1.onmessage = () => { entry.screen = now(); };
			after.port2.postMessage(null);
		});
	};
	look();
	new MutationObserver(look).observe(document, { subtree: true, childList: true, characterData: true });
})()`

// BenchmarkReadingToScreen is the time from a frame on the wire to its digits in
// the document, and until the browser has drawn them.
func BenchmarkReadingToScreen(b *testing.B) {
	for b.Loop() {
		t := newBench(b, "every: 50ms", "every: 24h", "silent_after: 1s", "silent_after: 1h")
		path := t.atIndicator()
		t.send("0.500")
		s := t.newScreen("en")
		s.open(path)
		s.acknowledge()
		s.shows("#live", "0.500")
		s.do(chromedp.Evaluate[chromedp.Void](watching))
		random := rand.New(rand.NewPCG(1, 2))
		sent := map[string]float64{}
		for i := range 300 {
			shown := fmt.Sprintf("%.3f", 1+float64(i)/1000)
			sent[shown] = float64(time.Now().UnixNano()) / 1e6
			t.send(shown)
			s.until(fmt.Sprintf("window.seen[%q]?.screen", shown))
			time.Sleep(time.Duration(random.IntN(60)) * time.Millisecond) // at no fixed point of a frame
		}
		seen := value[map[string]struct{ Document, Screen float64 }](s, "window.seen")
		var document, screen []float64
		for shown, at := range sent {
			document = append(document, seen[shown].Document-at)
			screen = append(screen, seen[shown].Screen-at)
		}
		reportPercentiles(b, "document", document)
		reportPercentiles(b, "screen", screen)
	}
	b.ReportMetric(0, "ns/op")
}

// send has the indicator send one frame.
func (b *bench) send(shown string) {
	b.Helper()
	value, err := strconv.ParseFloat(shown, 64)
	if err != nil {
		b.Fatal(err)
	}
	b.hands("send indicator " + hex.EncodeToString(fmt.Appendf(nil, "%+08.3f\r\n", value)))
}

func reportPercentiles(b *testing.B, of string, ms []float64) {
	slices.Sort(ms)
	for _, p := range []int{50, 99} {
		b.ReportMetric(ms[(len(ms)-1)*p/100], fmt.Sprintf("ms-%s-p%d", of, p))
	}
}

// BenchmarkTwentyPages is what twenty open pages of one job cost the daemon,
// with a gauge that sends twenty times a second.
func BenchmarkTwentyPages(b *testing.B) {
	const watched = 10 * time.Second
	for b.Loop() {
		t := newBench(b)
		path := t.atIndicator()
		idle := t.cost(watched)
		var screens []*screen
		for range 20 {
			s := t.newScreen("en")
			s.open(path)
			screens = append(screens, s)
		}
		screens[0].acknowledge()
		for _, s := range screens {
			s.there("#live")
			s.do(chromedp.Evaluate[chromedp.Void](`window.changes = 0;
				new MutationObserver(() => window.changes++).observe(document, { subtree: true, childList: true, characterData: true })`))
		}
		busy := t.cost(watched)
		slowest := 1e9
		for _, s := range screens {
			slowest = min(slowest, value[float64](s, "window.changes")/watched.Seconds())
		}
		if slowest < 1 {
			b.Errorf("a page changes only %.1f times a second", slowest)
		}
		b.ReportMetric(idle.cpu, "%cpu-without")
		b.ReportMetric(busy.cpu, "%cpu-with-20")
		b.ReportMetric(idle.rss, "MiB-without")
		b.ReportMetric(busy.rss, "MiB-with-20")
		b.ReportMetric(slowest, "changes/s-slowest")
	}
	b.ReportMetric(0, "ns/op")
}

// cost is what a daemon takes of one processor, and its resident memory in MiB.
type cost struct{ cpu, rss float64 }

func (b *bench) cost(during time.Duration) cost {
	b.Helper()
	before := b.ticks()
	time.Sleep(during) // this is the time over which it is measured
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", b.daemon.Process.Pid))
	if err != nil {
		b.Fatal(err)
	}
	var rss float64
	for line := range strings.Lines(string(status)) {
		if _, err := fmt.Sscanf(line, "VmRSS: %f kB", &rss); err == nil {
			break
		}
	}
	return cost{cpu: (b.ticks() - before) / during.Seconds(), rss: rss / 1024}
}

// ticks returns the processor time of the daemon so far, in hundredths of a second.
func (b *bench) ticks() float64 {
	b.Helper()
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", b.daemon.Process.Pid))
	if err != nil {
		b.Fatal(err)
	}
	fields := strings.Fields(string(stat[strings.LastIndexByte(string(stat), ')')+1:]))
	user, err1 := strconv.ParseFloat(fields[11], 64)
	system, err2 := strconv.ParseFloat(fields[12], 64)
	if err1 != nil || err2 != nil {
		b.Fatal(err1, err2)
	}
	return user + system
}

// BenchmarkTwelveHours is the memory of a page of a job that stays open while
// the indicator sends ten times a second for twelve hours. The events of some
// seconds are recorded and then given to the page again, through the handlers of
// its own stream, as fast as it takes them.
func BenchmarkTwelveHours(b *testing.B) {
	const events = 12 * 3600 * 10
	for b.Loop() {
		t := newBench(b, "every: 50ms", "every: 100ms")
		path := t.atIndicator()
		s := t.newScreen("en")
		s.do(command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: recording}))
		s.open(path)
		s.acknowledge()
		s.there("#live")
		s.until("recorded.length > 50")
		s.replay(events / 12) // what grows at first: code that is compiled, pools that are filled
		first := s.memory()
		s.replay(events)
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
	}
	b.ReportMetric(0, "ns/op")
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

// BenchmarkPageWeight is what each view weighs on the wire when nothing of it is
// kept from before, and the time from the navigation until it is drawn and, where
// it has one, shows the first reading.
func BenchmarkPageWeight(b *testing.B) {
	for _, path := range []string{"/", "/jobs/1", "/jobs/1/sheet"} {
		b.Run(path, func(b *testing.B) {
			for b.Loop() {
				t := newBench(b)
				t.atIndicator()
				if path == "/jobs/1" {
					before := t.newScreen("en")
					before.open(path)
					before.acknowledge()
				}
				t.newScreen("en").weigh(b, path)
			}
			b.ReportMetric(0, "ns/op")
		})
	}
}

func (s *screen) weigh(b *testing.B, path string) {
	s.do(command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
		new MutationObserver(() => {
			if (!window.reading && /\d[.]\d{3}/.test(document.querySelector("#live")?.textContent ?? "")) window.reading = performance.now();
		}).observe(document, { subtree: true, childList: true, characterData: true })`}))
	s.open(path)
	if path == "/jobs/1" {
		s.until("window.reading")
		b.ReportMetric(value[float64](s, "window.reading"), "ms-first-reading")
	}
	s.until(`performance.getEntriesByName("first-contentful-paint").length`)
	var loaded struct{ Bytes, Files, Paint float64 }
	if err := json.Unmarshal([]byte(value[string](s, `(() => {
		const files = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")].filter((f) => f.initiatorType !== "other" || f.transferSize);
		return JSON.stringify({ files: files.length, bytes: files.reduce((sum, f) => sum + f.transferSize, 0),
			paint: performance.getEntriesByName("first-contentful-paint")[0].startTime });
	})()`)), &loaded); err != nil {
		s.Fatal(err)
	}
	b.ReportMetric(loaded.Bytes/1024, "KiB")
	b.ReportMetric(loaded.Files, "files")
	b.ReportMetric(loaded.Paint, "ms-first-paint")
}
