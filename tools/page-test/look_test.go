//go:build page

package pagetest

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// sizes are a phone, the bench's screen, and a large screen on the wall.
var sizes = []struct{ wide, high int64 }{{360, 740}, {1280, 800}, {3840, 2160}}

var lights = []string{"light", "dark"}

// look keeps pictures of what the screen shows, at three sizes, light and dark,
// and has each looked over: nothing is wider than the screen, and axe finds
// nothing against WCAG 2.2 A and AA. The screen is as before afterwards.
func (s *screen) look(name string) {
	s.Helper()
	s.until(`document.readyState === "complete"`)
	for _, size := range sizes {
		s.do(chromedp.EmulateViewport(size.wide, size.high))
		for _, light := range lights {
			s.light(light)
			where := fmt.Sprintf("%s-%dx%d-%s", name, size.wide, size.high, light)
			s.keep(where+".png", see(s, chromedp.FullScreenshot(100)))
			s.fits(where)
			if size.wide < 3000 { // the largest differs from the middle one in nothing that axe looks at
				s.accessible(where)
			}
		}
	}
	s.do(chromedp.EmulateViewport(1280, 800))
	s.light("light")
}

// light has the device prefer light or dark.
func (s *screen) light(which string) {
	s.Helper()
	s.do(command(emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: which}},
	}))
}

// fits fails the test when something is wider than the screen.
func (s *screen) fits(where string) {
	s.Helper()
	if wider := s.wider(); len(wider) > 0 {
		s.Errorf("%s: wider than the screen: %s", where, strings.Join(wider, ", "))
	}
}

// wider returns the elements that are wider than the screen, but for what can be
// scrolled in a place of its own.
func (s *screen) wider() []string {
	s.Helper()
	return value[[]string](s, `(() => {
		const root = document.documentElement;
		if (root.scrollWidth <= root.clientWidth) return [];
		const scrolls = (e) => e && e !== document.body && (getComputedStyle(e).overflowX !== "visible" || scrolls(e.parentElement));
		const wide = (e) => e.getBoundingClientRect().right > root.clientWidth + 1 || (e.clientWidth > 0 && e.scrollWidth > e.clientWidth + 1);
		const found = [...document.body.querySelectorAll("*")].filter((e) => wide(e) && !scrolls(e) && ![...e.children].some(wide));
		return [root.scrollWidth + " px", ...found.map((e) => e.outerHTML.slice(0, 80))];
	})()`)
}

// wholeWords fails the test when the label of a key breaks inside a word without a hyphen, is
// wider than its key, or has no place on the screen.
func (s *screen) wholeWords() {
	s.Helper()
	for _, broken := range value[[]string](s, `(() => {
		const letter = /\p{L}/u, found = [];
		const pushed = getComputedStyle(document.querySelector(".top")).overflowX === "auto"; // the head of a job on a phone
		const keys = [...document.querySelectorAll("button, summary:not(#said > summary), .key, .top nav a")].filter((e) => e.checkVisibility() && e.getClientRects().length);
		for (const key of keys) {
			const box = key.getBoundingClientRect(), texts = document.createTreeWalker(key, NodeFilter.SHOW_TEXT);
			if (key.scrollWidth > key.clientWidth + 1 || key.closest(".top") && !pushed && (box.left < 0 || box.right > innerWidth + 1)) found.push(key.innerText + ": no place for it");
			for (let text; (text = texts.nextNode());) {
				const top = (i) => { const range = new Range(); range.setStart(text, i); range.setEnd(text, i + 1); return [...range.getClientRects()].at(-1)?.top; };
				for (let i = 1; i < text.length; i++) {
					if (letter.test(text.data[i - 1]) && letter.test(text.data[i]) && Math.abs(top(i) - top(i - 1)) > 2) found.push(text.data.trim() + ": breaks before " + text.data.slice(i));
				}
			}
		}
		return found.length || keys.length > 8 ? found : ["only " + keys.length + " keys"];
	})()`) {
		s.Errorf("on the screen: %s", broken)
	}
}

// axe is the source of axe-core, as npm installed it.
var axe = sync.OnceValues(func() (string, error) {
	content, err := os.ReadFile(filepath.Join(kept, "node_modules/axe-core/axe.min.js"))
	return string(content), err
})

// violation is what axe found against one of its rules.
type violation struct {
	ID, Help string
	Nodes    []struct{ HTML, FailureSummary string }
}

// accessible fails the test for each thing that axe finds; rules are more rules than
// those of A and AA.
func (s *screen) accessible(where string, rules ...string) {
	s.Helper()
	for _, v := range s.violations(rules...) {
		for _, n := range v.Nodes {
			s.Errorf("%s: %s (%s):\n%s\n%s", where, v.Help, v.ID, n.HTML, n.FailureSummary)
		}
	}
}

func (s *screen) violations(rules ...string) []violation {
	s.Helper()
	source, err := axe()
	if err != nil {
		s.Fatalf("%v: tools/setup.sh page installs it", err)
	}
	if !value[bool](s, `"axe" in window`) {
		s.do(chromedp.Evaluate[chromedp.Void](source + "; undefined"))
	}
	found := see(s, chromedp.Evaluate[string](`axe.run(document, {
		runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], resultTypes: ["violations"], rules: `+cmp.Or(strings.Join(rules, ""), "{}")+`,
	}).then((r) => JSON.stringify({rules: r.passes.length, violations: r.violations.map((v) => ({ID: v.id, Help: v.help,
		Nodes: v.nodes.map((n) => ({HTML: n.html, FailureSummary: n.failureSummary}))}))}))`, chromedp.EvalAwaitPromise))
	var result struct {
		Rules      int
		Violations []violation
	}
	if err := json.Unmarshal([]byte(found), &result); err != nil {
		s.Fatal(err)
	}
	if result.Rules < 5 {
		s.Errorf("axe tried only %d rules", result.Rules)
	}
	return result.Violations
}

// keep writes a file that the tests leave behind.
func (s *screen) keep(name string, content []byte) {
	s.Helper()
	file := filepath.Join(kept, name)
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		s.Fatal(err)
	}
	if err := os.WriteFile(file, content, 0o644); err != nil {
		s.Fatal(err)
	}
}
