//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// placed are the places of what stands on a page, outside of the settings.
const placed = `[...document.querySelectorAll("header *, main *")].filter((e) => !e.closest(".settings .over")).map((e) => {
	const box = e.getBoundingClientRect();
	return [e.tagName, e.id, box.x, box.y, box.width, box.height].join(" ");
})`

// onScreen is that the key which closes the settings can be touched.
const onScreen = `(() => {
	const box = document.querySelector(".settings [data-close]").getBoundingClientRect();
	return box.height >= 60 && box.left >= 0 && box.right <= innerWidth && box.top >= 0 && box.bottom <= innerHeight &&
		document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2).matches("[data-close]");
})()`

// TestSettingsLieOver: the settings are a panel that lies over a job and moves nothing, all of
// it is on the screen, and a key of its own closes it.
func TestSettingsLieOver(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		t.Run(language, func(t *testing.T) {
			b := newBench(t)
			s := b.newScreen(language)
			b.hands("set indicator 25.210")
			b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "depth=indicator", "--gauge", "end_play=indicator")
			s.open("/jobs/1")
			s.settled()
			for _, size := range []struct{ wide, high int64 }{{1920, 1080}, {1280, 800}, {360, 740}} {
				s.do(chromedp.EmulateViewport(size.wide, size.high))
				s.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".top").scrollLeft = 9999`)) // on a phone the head is pushed aside for it
				before := value[[]string](s, placed)
				s.touch(".settings summary")
				s.until(`document.querySelector(".settings").open`)
				after := value[[]string](s, placed)
				for i := range min(len(before), len(after)) {
					if after[i] != before[i] {
						t.Errorf("%dx%d: the settings move %s to %s", size.wide, size.high, before[i], after[i])
					}
				}
				s.until(onScreen)
				s.fits("settings")
				s.touch(".settings [data-close]")
				s.until(`!document.querySelector(".settings").open`)
			}
		})
	}
}
