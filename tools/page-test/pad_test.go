//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// covered are the keys and the field of a typed step that a finger cannot reach without scrolling.
const covered = `["#pad-shown", "#shown", "#enter", "#take", "main .digits-pad button"].flatMap((all) => [...document.querySelectorAll(all)]).filter((e) => {
	const box = e.getBoundingClientRect(), over = document.elementFromPoint(box.x + box.width / 2, box.bottom - 2);
	return box.top < 0 || box.bottom > innerHeight || over?.closest("button, input") !== e;
}).map((e) => e.outerHTML.slice(0, 60) + " ends at " + Math.round(e.getBoundingClientRect().bottom))`

// TestPadTakesThePhone: on a phone a typed step is one screen: the field, all digits and the key
// that takes the reading; one key clears the field, and a usual reason is one touch.
func TestPadTakesThePhone(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		t.Run(language, func(t *testing.T) {
			b := newBench(t)
			s := b.newScreen(language)
			s.do(chromedp.EmulateViewport(360, 740))
			b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417")
			s.open("/jobs/1")
			s.settled()
			s.touch("#acknowledge")
			s.there("#bar #enter")
			s.settled()
			s.do(chromedp.Evaluate[chromedp.Void](`scrollTo(0, 0)`))
			for _, found := range value[[]string](s, covered) {
				t.Errorf("not to be reached: %s", found)
			}
			s.fits("typed")
			for _, key := range []string{"2", "5", "clear", "7"} {
				s.touch(`[data-key="` + key + `"]`)
			}
			s.until(`document.querySelector("#pad-shown").value === "7"`)
			s.touch("#panel-aside summary")
			s.settled()
			s.touch("#set-aside [data-reason]")
			s.until(`document.querySelector("#aside-reason").value === document.querySelector("#set-aside [data-reason]").innerText`)
		})
	}
}

// TestPadOfACheck: the check of a gauge that is read by eye has the pad of a job, in the same
// order; on a phone it is one screen with the field and the key, and what was typed is taken.
func TestPadOfACheck(t *testing.T) {
	b := newBench(t, "masters:\n", "  eye: {typed: yes, unit: mm, resolution: 0.001, title: Micrometer}\nmasters:\n")
	s := b.newScreen("en")
	s.do(chromedp.EmulateViewport(360, 740))
	s.open("/gauges/eye/check")
	s.fill("[name=by]", "quality")
	s.touch(`[name=master][value=zero]`)
	s.touch("main form button.big")
	s.there("#shown")
	s.settled()
	s.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#points").scrollIntoView()`))
	for _, found := range value[[]string](s, covered) {
		t.Errorf("not to be reached: %s", found)
	}
	s.fits("check")
	if order := value[string](s, `[...document.querySelectorAll("[data-key]")].map((k) => k.dataset.key).filter((k) => k > "0" && k <= "9").join("")`); order != "789456123" {
		t.Errorf("the digits stand as %s", order)
	}
	for _, key := range []string{"0", ".", "0", "0", "2"} {
		s.touch(`[data-key="` + key + `"]`)
	}
	s.touch("#take")
	s.shows("#points table", "0.002")
	s.until(`document.querySelector("#shown").value === ""`)
	s.look("check-by-eye")
	s.do(chromedp.EmulateViewport(1280, 800), chromedp.Evaluate[chromedp.Void](`scrollTo(0, 0)`))
	s.until(`document.querySelector("#take").getBoundingClientRect().bottom <= innerHeight`) // nothing to scroll
}
