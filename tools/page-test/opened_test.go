//go:build page

package pagetest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// hiddenPart is how much of what an open panel begins with is not to be seen: above the
// window, below the bar, or below the window.
const hiddenPart = `((e) => {
	const { top, bottom } = e.getBoundingClientRect(), bar = document.getElementById("bar").getBoundingClientRect().top;
	return Math.max(0, -top) + Math.max(0, Math.min(bottom, top + 120) - Math.min(bar, innerHeight));
})(document.querySelector(%q))`

// TestOpenedIsSeen: whatever is opened is where it is seen, on a phone and on a screen.
func TestOpenedIsSeen(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.startJob("depth=depth")
	s.pressed("depth", "25.210")
	s.shows("#step", "2 of 2")
	for _, size := range []struct{ wide, high int64 }{{360, 740}, {820, 1180}, {1280, 800}, {1920, 1080}} {
		s.do(chromedp.EmulateViewport(size.wide, size.high))
		for _, panel := range []string{"readings", "sum", "type", "cautions", "aside", "end"} {
			s.settled()
			s.touch("#panel-" + panel + " > summary")
			s.until(fmt.Sprintf(hiddenPart+" < 1", "#panel-"+panel+" > .panel"))
		}
		s.settled()
		s.touch("#panel-readings > summary")
		s.settled()
		s.touch("#discard > summary")
		s.until(fmt.Sprintf(hiddenPart+" < 1", "#discard form"))
		s.settled()
		s.touch("#discard > summary")
		s.settled()
		s.touch("#panel-readings > summary")
	}
}
