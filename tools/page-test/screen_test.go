//go:build page

package pagetest

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// screen is one device that shows the page: a browser profile of its own with
// one tab. What its console says and what it asks of other places fails the test.
type screen struct {
	*bench
	url string // of the page, as this screen reaches it
	ctx context.Context

	touches int // so often something was touched

	mu      sync.Mutex
	wrongs  []string
	expects bool // failed requests are part of the test
}

// newScreen opens a tab in a new profile, in a language, with a view of
// 1280 by 800.
func (b *bench) newScreen(language string) *screen {
	b.Helper()
	s := &screen{bench: b, url: b.url}
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext(), chromedp.WithListener(s.hear))
	s.ctx = ctx
	b.Cleanup(func() {
		s.check()
		cancel()
	})
	s.do(
		chromedp.EmulateViewport(1280, 800),
		command(emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}),
		command(network.Enable, network.EnableParams{}),
		command(network.SetExtraHTTPHeaders, network.SetExtraHTTPHeadersParams{Headers: network.Headers{"Accept-Language": language}}),
	)
	return s
}

// check fails the test when something was wrong so far.
func (s *screen) check() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, wrong := range s.wrongs {
		s.Error(wrong)
	}
	s.wrongs = nil
}

func (s *screen) wrong(format string, args ...any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.wrongs = append(s.wrongs, fmt.Sprintf(format, args...))
}

// do carries out steps, each within its time.
func (s *screen) do(steps ...chromedp.Action[chromedp.Void]) {
	s.Helper()
	for _, step := range steps {
		see(s, step)
	}
}

// see runs an action that gives a value.
func see[T any](s *screen, a chromedp.Action[T]) T {
	s.Helper()
	// The first run starts the tab, which then lives as long as its context.
	done := time.AfterFunc(within, func() { s.wrong("a step took longer than %s", within); _ = chromedp.Cancel(s.ctx) })
	defer done.Stop()
	value, err := chromedp.Run(s.ctx, a)
	if err != nil {
		s.Fatal(err)
	}
	return value
}

// value evaluates an expression in the page.
func value[T any](s *screen, expression string) T {
	s.Helper()
	return see(s, chromedp.Evaluate[T](expression))
}

// open goes to a path of the page.
func (s *screen) open(path string) {
	s.Helper()
	s.do(chromedp.Navigate(s.url + path))
}

// until polls until an expression of the page is true. Pages may come and go meanwhile.
func (s *screen) until(expression string) {
	s.Helper()
	var last error
	for deadline := time.Now().Add(within); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		var ok bool
		if ok, last = chromedp.Run(s.ctx, chromedp.Evaluate[bool]("!!("+expression+")")); ok {
			return
		}
	}
	text, _ := chromedp.Run(s.ctx, chromedp.Evaluate[string]("location.pathname + '\\n' + document.body.innerText"))
	s.Fatalf("waited in vain for %s (%v); the screen shows\n%s", expression, last, text)
}

// shows waits until an element shows a text, however it is broken into lines.
func (s *screen) shows(selector string, texts ...string) {
	s.Helper()
	for _, text := range texts {
		s.until(fmt.Sprintf(`((e) => e?.checkVisibility({ contentVisibilityAuto: true }) ? e.innerText : e?.textContent ?? "")(document.querySelector(%q)).replace(/\s+/g, " ").includes(%q)`, selector, text))
	}
}

// text returns what an element shows.
func (s *screen) text(selector string) string {
	s.Helper()
	return strings.Join(strings.Fields(value[string](s, fmt.Sprintf(`document.querySelector(%q)?.innerText ?? ""`, selector))), " ")
}

// there waits until an element is there and can be seen.
func (s *screen) there(selector string) {
	s.Helper()
	s.until(fmt.Sprintf(`document.querySelector(%q)?.checkVisibility()`, selector))
}

// at returns the middle of an element, once it is there, has been scrolled into
// view, nothing covers it, and it stands still.
func (s *screen) at(selector string) (x, y float64) {
	s.Helper()
	middle := fmt.Sprintf(`(() => {
		const e = document.querySelector(%q);
		if (!e?.checkVisibility() || e.closest(".settling") || document.readyState !== "complete") return null; // nothing acts just after a change
		e.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
		const box = e.getBoundingClientRect(), x = box.x + box.width / 2, y = box.y + box.height / 2;
		const top = document.elementFromPoint(x, y);
		return top && (e.contains(top) || top.contains(e)) ? [x, y] : null;
	})()`, selector)
	var before, point []float64
	for deadline := time.Now().Add(within); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		before = point
		point, _ = chromedp.Run(s.ctx, chromedp.Evaluate[[]float64](middle))
		if len(point) == 2 && slices.Equal(point, before) {
			return point[0], point[1]
		}
	}
	s.until(middle)
	s.Fatalf("%s went away, or never stood still", selector)
	return 0, 0
}

// touch clicks an element as a finger would: in its middle. Where the machine is so busy that
// the page has no word of the station for a while, and does nothing, the finger waits.
func (s *screen) touch(selector string) {
	s.Helper()
	s.until(`document.querySelector("#lost")?.hidden ?? true`)
	s.touches++
	s.do(chromedp.MouseClickXY(s.at(selector)))
}

// fill types into a field.
func (s *screen) fill(selector, text string) {
	s.Helper()
	s.touch(selector)
	s.until(fmt.Sprintf("document.activeElement.matches(%q)", selector))
	s.press(text)
}

// choose settles one entry of a select, once it is there, or what a field has.
func (s *screen) choose(selector, entry string) {
	s.Helper()
	s.until(fmt.Sprintf(`[...document.querySelector(%q).options ?? [{ value: %[2]q }]].some((o) => o.value === %[2]q)`, selector, entry))
	s.do(chromedp.SetValue(chromedp.CSS(selector), entry))
	s.until(fmt.Sprintf(`document.querySelector(%q).value === %q`, selector, entry))
}

// reload loads the page again.
var reload = chromedp.Reload()

// refusals says whether requests that fail are part of the test from now on.
func (s *screen) refusals(expected bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.expects = expected
}
