//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestBarStaysAsHigh: the bar is as high with the key that signs, also for somebody with a
// long name, as with the one before it.
func TestBarStaysAsHigh(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		t.Run(language, func(t *testing.T) {
			b := newBench(t)
			s := b.newScreen(language)
			b.hands("set indicator 25.210")
			b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--by", "Maximiliane Oberhollenzer-Untersteiner", "--gauge", "depth=indicator", "--gauge", "end_play=indicator")
			s.open("/jobs/1")
			s.settled()
			s.touch("#acknowledge")
			s.there("#take")
			s.shows("#live", "25")
			s.touch("#take")
			s.shows("#bar .last", "25")
			s.touch("#take")
			s.there("#bar #enter")
			s.typed("23.458")
			s.there("#fit")
			s.touch("#fit")
			b.hands("set indicator 0.152")
			s.until(`document.querySelector("#live")?.innerText.includes("152")`)
			high := func() (all []float64) {
				for _, size := range wide {
					s.do(chromedp.EmulateViewport(size.wide, size.high))
					all = append(all, value[float64](s, `document.getElementById("bar").getBoundingClientRect().height`))
				}
				s.do(chromedp.EmulateViewport(1280, 800))
				return all
			}
			before := high()
			s.touch("#take")
			s.there("#sign")
			s.settled()
			for i, after := range high() {
				if after > before[i]+1 {
					t.Errorf("%dx%d: the bar grows from %.0f to %.0f", wide[i].wide, wide[i].high, before[i], after)
				}
			}
		})
	}
}
