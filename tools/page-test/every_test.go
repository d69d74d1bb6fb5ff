//go:build page

package pagetest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// The job view is looked over at these sizes, in these lights. Contrast is that of AAA.
var (
	everySize  = []struct{ wide, high int64 }{{360, 740}, {1280, 800}, {1920, 1080}, {3840, 2160}}
	everyLight = []string{"light", "dark", "strong"}
)

// everywhere has axe look at what the screen shows at each size in each light.
func (s *screen) everywhere(where string) (looks int) {
	s.Helper()
	s.settled()
	for _, size := range everySize {
		s.do(chromedp.EmulateViewport(size.wide, size.high))
		for _, light := range everyLight {
			s.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.documentElement.dataset.light = %q`, light)))
			s.accessible(fmt.Sprintf("%s, %dx%d, %s", where, size.wide, size.high, light), `{ "color-contrast-enhanced": { enabled: true } }`)
			looks++
		}
	}
	return looks
}

// TestAccessibleEverywhere: in each stage of a job, and on the lists, axe finds nothing
// against WCAG 2.2 A and AA nor against the contrast of AAA, at each size, in each light
// and in both languages.
func TestAccessibleEverywhere(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 25.210")
	w := working{screen: b.newScreen("en")}
	german := b.newScreen("de")
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "depth=indicator", "--gauge", "end_play=indicator")
	w.open("/jobs/1")
	german.open("/jobs/1")
	looks := 0
	both := func(stage string) {
		t.Helper()
		german.until(fmt.Sprintf(`document.querySelector("#bar").dataset.at === %q`, value[string](w.screen, `document.querySelector("#bar").dataset.at`)))
		looks += w.everywhere(stage+", English") + german.everywhere(stage+", German")
		w.do(chromedp.EmulateViewport(1280, 800))
	}
	for _, step := range jobSteps {
		step.come(w)
		both(step.name)
	}
	w.touch("#sign")
	w.closed()
	german.closed()
	both("closed")
	for _, path := range []string{"/start?procedure=ring&serial=SC-1", "/jobs", "/gauges"} {
		w.open(path)
		german.open(path)
		w.there("main h1")
		german.there("main h1")
		looks += w.everywhere(path+", English") + german.everywhere(path+", German")
	}
	t.Logf("axe looked %d times", looks)
}
