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
