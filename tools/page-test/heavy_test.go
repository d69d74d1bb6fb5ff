//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// lightest is how much a page may weigh on the wire, in bytes: all that a browser fetches
// that has nothing of it yet, with drawings and the headers of the answers.
const lightest = 60 << 10

// TestPageWeight: the pages of a technician are light, also with the drawings of the
// demonstration.
func TestPageWeight(t *testing.T) {
	b := newDemo(t)
	b.gaugectl("job", "start", "output-shaft-ring", "--unit-serial", "L2-0417", "--gauge", "case_depth=depth", "--gauge", "boss_height=depth", "--gauge", "*=indicator")
	b.gaugectl("job", "acknowledge", "1")
	for _, p := range []place{{"start", "/start?procedure=output-shaft-ring&serial=L2-0418", ""}, {"job", "/jobs/1", "#live"}, {"jobs", "/jobs", ""}, {"gauges", "/gauges", ""}, {"gauge", "/gauges/indicator", ""}, {"procedure", "/procedures/output-shaft-ring", ""}, {"sheet", "/jobs/1/sheet", ""}} {
		s := b.newScreen("en")
		s.open(p.path)
		s.until(`document.readyState === "complete" && document.body.dataset.ready === ""`)
		if p.name == "job" {
			s.until(`document.querySelector("#drawing img")?.complete`)
		}
		weight := value[int](s, `["navigation", "resource"].flatMap((kind) => performance.getEntriesByType(kind)).reduce((sum, f) => sum + f.transferSize, 0)`)
		t.Logf("%s: %.1f KiB", p.name, float64(weight)/1024)
		if weight == 0 || weight > lightest {
			t.Errorf("%s weighs %d bytes, want %d at most", p.name, weight, lightest)
		}
		s.do(chromedp.Navigate("about:blank"))
	}
}
