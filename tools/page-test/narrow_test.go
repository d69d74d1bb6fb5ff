//go:build page

package pagetest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// over are the elements of a job that end right of the screen, but for those of the head,
// which is pushed aside, and what can be scrolled in a place of its own.
const over = `[...document.querySelectorAll("main *")].filter((e) => e.checkVisibility() && !e.closest(".scroll, svg, #steps i")
	&& e.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5).map((e) => Math.round(e.getBoundingClientRect().right) + " " + e.outerHTML.slice(0, 90))`

// TestNothingPastTheEdge: on a phone nothing of a job ends past the edge of the screen, however
// long the value is and whatever is opened: the unit is seen, and the key stays where it is.
func TestNothingPastTheEdge(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		t.Run(language, func(t *testing.T) {
			b := newBench(t)
			s := b.newScreen(language)
			s.do(chromedp.EmulateViewport(360, 740))
			b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--by", "Ada", "--gauge", "depth=indicator", "--gauge", "end_play=indicator")
			s.open("/jobs/1")
			s.touch("#acknowledge")
			s.there("#take")
			whole := func(where string) {
				t.Helper()
				if past := value[[]string](s, over); len(past) > 0 {
					t.Errorf("%s: %s", where, strings.Join(past, "\n"))
				}
			}
			for _, shown := range []string{"22.400", "201.900", "-201.900"} {
				b.hands("set indicator " + shown)
				s.until(fmt.Sprintf(`document.querySelector("#live .digits")?.textContent.replace(",", ".") === %q`, strings.TrimPrefix(shown, "-")))
				whole(shown)
			}
			for _, panel := range value[[]string](s, `[...document.querySelectorAll("#more > details")].map((e) => e.id)`) {
				s.touch("#" + panel + " > summary")
				s.until(fmt.Sprintf(`document.getElementById(%q).open`, panel))
				whole(panel)
			}
		})
	}
}
