//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestHeadArrivesInParts: a browser draws the head before all of it has come. What is
// there already does not move when the rest comes.
func TestHeadArrivesInParts(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("de")
	s.startJob("depth=depth")
	const at = `Math.round(document.querySelector(".settings").getBoundingClientRect().x)`
	for _, size := range [][2]int64{{1280, 800}, {1920, 1080}} {
		s.do(chromedp.EmulateViewport(size[0], size[1]))
		whole := value[int](s, at)
		if without := value[int](s, `(() => { document.querySelector(".station").style.display = "none"; const x = `+at+`; document.querySelector(".station").style.display = ""; return x })()`); without != whole {
			t.Errorf("%d wide: the settings are at %d, and at %d until the station's name has come", size[0], whole, without)
		}
	}
}

// TestBothAreFetched: a serial number that is said just after the procedure does not take
// the place of what was fetched for the procedure.
func TestBothAreFetched(t *testing.T) {
	s := newBench(t).newScreen("en")
	s.open("/")
	s.until(`document.readyState === "complete"`)
	s.do(chromedp.Evaluate[chromedp.Void](`(() => {
		document.querySelector("input[value=ring]").click();
		document.querySelector("#serial").value = "L2-0417";
		document.querySelector("#serial").dispatchEvent(new Event("change", { bubbles: true }));
	})()`))
	s.there("#start")
	s.there("select[name='gauge.depth']")
	s.shows("#unit", "This unit is new here.")
}
