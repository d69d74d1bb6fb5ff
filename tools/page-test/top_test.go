//go:build page

package pagetest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// inView is what is seen of an element below the head and above the bar, in points.
const inView = `((e) => { const { top, bottom } = e.getBoundingClientRect(); return Math.min(bottom, document.getElementById("bar").getBoundingClientRect().top) - Math.max(top, 0); })(document.querySelector(%q))`

// TestNextStepIsSeen: on a phone what comes next is seen, however far the page was pushed up.
func TestNextStepIsSeen(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.do(chromedp.EmulateViewport(360, 740))
	s.startJob("depth=depth")
	s.pressed("depth", "25.210")
	s.shows("#step", "2 of 2")
	s.do(chromedp.Evaluate[chromedp.Void](`scrollTo(0, 600)`))
	s.until(`scrollY > 100`)
	s.pressed("depth", "25.214")
	s.shows("#step", "Height of the cover")
	s.until(fmt.Sprintf(inView+" > 30", "#step-title"))
}
