//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestSetAside: a job is set aside at the bench, which frees its gauge at once, stands on
// the first page of another screen, and is taken up there by the one whom it is for.
func TestSetAside(t *testing.T) {
	b := newBench(t)
	s, other := b.newScreen("en"), b.newScreen("de")
	s.do(chromedp.EmulateViewport(1280, 800))
	other.open("/")
	s.startJob("depth=depth")
	s.pressed("depth", "25.210")
	s.shows("#repeats", "25.210")
	s.touch("#panel-aside > summary")
	s.fill("#aside-reason", "ring ordered")
	s.fill("#aside-for", "Ada")
	s.look("job-set-aside")
	s.touch("#aside-go")
	s.shows("#step", "Set aside: ring ordered", "By demo,", "Ada")
	s.there("#resume")
	s.until(`!document.querySelector("#take, #enter, .press")`)
	s.look("job-aside")
	other.shows("#waits", "L2-0417")
	other.touch("#waits a")
	other.there("#resume")
	other.look("job-aside-de")
	other.until(`document.querySelector("#resume-by").value === "Ada"`)
	other.touch("#resume")
	other.shows("#where", "Ada")
	s.shows("#where", "Ada")
	s.shows("#step", "Depth of the case, 2 of 2")
	s.touch("#panel-aside > summary")
	s.fill("#serial-right", "L2-0471")
	s.fill("#serial-reason", "read wrongly")
	s.touch("#serial-go")
	s.until(`!document.querySelector("#panel-aside").open`) // it does not cover what comes
	s.shows("#where", "L2-0471")
	other.shows("#where", "L2-0471")
}
