//go:build page

package pagetest

import (
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// place is where a page shows the present reading of the indicator.
type place struct{ name, path, element string }

var livePlaces = []place{{"gauge", "/gauges/indicator", "#now"}, {"job", "/jobs/1", "#live"}}

// opened is a screen that shows the place.
func (p place) opened(b *bench, before ...chromedp.Action[chromedp.Void]) *screen {
	b.Helper()
	s := b.newScreen("en")
	s.do(before...)
	p.prepare(b)
	s.open(p.path)
	s.there(p.element)
	return s
}

// prepare has a job measure with the indicator, its cautions read, where there is none.
func (p place) prepare(b *bench) {
	b.Helper()
	if p.name != "job" || strings.Contains(b.gaugectl("jobs"), "L2-0417") {
		return
	}
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "*=indicator")
	b.gaugectl("job", "acknowledge", "1")
}

// eachPlace runs a benchmark on each view that shows readings as they come.
func eachPlace(b *testing.B, run func(*testing.B, place)) {
	for _, p := range livePlaces {
		b.Run(p.name, func(b *testing.B) {
			for b.Loop() {
				run(b, p)
			}
			b.ReportMetric(0, "ns/op")
		})
	}
}

// watching notes in the page when each new reading is in the document, and when
// it is drawn, on the clock of this machine in ms.
const watching = `(() => {
	window.seen = {};
	const now = () => performance.timeOrigin + performance.now();
	const look = () => {
		const shown = document.querySelector(%q)?.textContent.match(/-?\d+\.\d{3}/)?.[0];
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
	eachPlace(b, func(b *testing.B, p place) {
		t := newBench(b, "every: 50ms", "every: 24h", "silent_after: 1s", "silent_after: 1h")
		s := p.opened(t)
		t.await("the line is open", func() bool {
			t.send("0.500")
			return strings.Contains(s.text(p.element), "0.500")
		})
		s.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(watching, p.element)))
		random := rand.New(rand.NewPCG(1, 2))
		sent := map[string]float64{}
		for i := range 300 {
			shown := fmt.Sprintf("%.3f", 1+float64(i)/1000)
			time.Sleep(time.Duration(random.IntN(60)) * time.Millisecond) // at no fixed point of a frame
			sent[shown] = float64(time.Now().UnixNano()) / 1e6
			t.send(shown)
			s.until(fmt.Sprintf("window.seen[%q]?.screen", shown))
		}
		seen := value[map[string]struct{ Document, Screen float64 }](s, "window.seen")
		var document, screen []float64
		for shown, at := range sent {
			document = append(document, seen[shown].Document-at)
			screen = append(screen, seen[shown].Screen-at)
		}
		reportPercentiles(b, "document", document)
		reportPercentiles(b, "screen", screen)
	})
}

// send has the indicator send one frame.
func (b *bench) send(shown string) {
	b.Helper()
	value, err := strconv.ParseFloat(shown, 64)
	if err != nil {
		b.Fatal(err)
	}
	b.hands("send indicator " + hex.EncodeToString(fmt.Appendf(nil, "%+.3f\r\n", value)))
}

func reportPercentiles(b *testing.B, of string, ms []float64) {
	slices.Sort(ms)
	for _, p := range []int{50, 99} {
		b.ReportMetric(ms[(len(ms)-1)*p/100], fmt.Sprintf("ms-%s-p%d", of, p))
	}
}
