//go:build page

package pagetest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// press presses keys where the focus is.
func (s *screen) press(keys string) {
	s.Helper()
	s.do(chromedp.KeyEvent(keys))
}

// tabTo presses the tabulator until the focus is on an element, which must then
// show it.
func (s *screen) tabTo(selector string) {
	s.Helper()
	s.there(selector)
	s.settled()
	var passed []string
	for range 100 {
		if value[bool](s, fmt.Sprintf("document.activeElement.matches(%q)", selector)) {
			if !value[bool](s, `getComputedStyle(document.activeElement).outlineStyle !== "none"`) {
				s.Errorf("%s does not show that it has the focus", selector)
			}
			return
		}
		passed = append(passed, value[string](s, `document.activeElement.outerHTML.slice(0, 60)`))
		s.press(kb.Tab)
	}
	s.Fatalf("the tabulator does not lead to %s, but to\n%s", selector, strings.Join(passed, "\n"))
}

// settled waits until what has changed acts again.
func (s *screen) settled() {
	s.Helper()
	s.until(`!document.querySelector(".settling")`)
}

// TestSkipLink: the first key leads past the head of the page.
func TestSkipLink(t *testing.T) {
	b := newBench(t)
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417")
	s := b.newScreen("en")
	s.open("/jobs/1/sheet")
	s.tabTo(".skip")
	s.press(kb.Enter)
	s.until(`location.hash === "#main"`)
}

// TestKeyboardAlone: a whole job without a pointer.
func TestKeyboardAlone(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 0.152")
	s := b.newScreen("en")
	s.open("/")
	s.until(`document.activeElement.id === "serial"`)
	s.press("L2-0417" + kb.Enter) // as a code reader types it
	s.until(`document.activeElement.name === "procedure"`)
	s.press(kb.Enter)
	s.until(`document.activeElement.id === "technician"`)
	s.there("#start")
	s.press("demo" + kb.Enter)
	s.until(`document.activeElement.id === "start"`)
	s.tabTo("select[name='gauge.depth']")
	s.press(kb.Home) // typed in
	s.tabTo("select[name='gauge.end_play']")
	s.press("indi")
	s.tabTo("#start")
	s.press(kb.Enter)
	s.until(`location.pathname === "/jobs/1"`)
	act := func(key string) {
		t.Helper()
		s.tabTo(key)
		s.press(kb.Enter)
	}
	s.there("#pad-shown")
	for _, reading := range []string{"25.210", "25.214", "23.460"} {
		s.settled()
		s.tabTo("#pad-shown")
		s.press(reading + kb.Enter)
		s.shows("#repeats", reading)
	}
	s.settled()
	act("#fit")
	s.shows("#step", "End play with the ring")
	s.shows("#live", "0.152")
	s.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`)) // as after a touch beside everything
	s.settled()
	s.press(" ")
	s.there("#sign")
	s.settled()
	s.press(kb.Enter)
	s.there("#next-unit")
	if !strings.Contains(b.gaugectl("job", "show", "1"), "R160") {
		t.Error(b.gaugectl("job", "show", "1"))
	}
}
