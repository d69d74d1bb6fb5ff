//go:build page

package pagetest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestScanBeginsNothing: a code reader moves on to the next empty field, chooses no
// procedure and begins no job, wherever the focus is; a second scan takes the place of the first.
func TestScanBeginsNothing(t *testing.T) {
	b := newBench(t)
	b.gaugectl("job", "start", "ring", "--unit-serial", "SC-0041")
	s := b.newScreen("en")
	s.open("/")
	s.until(`document.activeElement.id === "serial"`)
	s.press("SC-OO41" + kb.Enter)
	s.until(`document.activeElement.name === "procedure"`)
	s.shows("#unit", "Did you mean SC-0041?")
	if s.text("#go") != "Choose the gauges" || value[bool](s, `!!document.querySelector("[name=procedure]:checked")`) {
		t.Errorf("a procedure was chosen: %s", s.text("#go"))
	}
	s.press("SC-0099" + kb.Enter) // with the focus on a choice
	s.until(`serial.value === "SC-0099" && document.activeElement.name === "procedure"`)
	s.shows("#unit", "This unit is new here.")
	s.touch("input[value=ring]")
	s.there("#start")
	s.fill("#order", "A-1042"+kb.Enter) // an order is scanned where the focus is
	s.until(`document.activeElement.id === "technician" && order.value === "A-1042" && serial.value === "SC-0099"`)
	s.fill("#technician", "Ada"+kb.Enter)
	s.until(`document.activeElement.id === "start"`)
	s.press("SC-0041" + kb.Enter) // with the focus on the key that begins the job
	s.until(`serial.value === "SC-0041" && document.activeElement.id === "start"`)
	s.shows("#unit", "There is a job on this unit")
	if jobs := b.gaugectl("jobs"); strings.Contains(jobs, "Ada") || value[string](s, "location.pathname") != "/" {
		t.Errorf("a scan began a job:\n%s", jobs)
	}
	s.touch("#start")
	s.until(`location.pathname === "/jobs/2"`)
	if job := b.gaugectl("job", "show", "2"); !strings.Contains(job, "order A-1042") {
		t.Errorf("the order is not that of the job:\n%s", job)
	}
	s.open("/")
	s.there("[data-who=Ada]")
	s.until(`technician.value === "Ada"`)
	s.fill("#technician", "x")
	s.touch("[data-who=Ada]") // in one touch
	s.until(`technician.value === "Ada" && document.querySelector("[data-who=Ada]").ariaPressed === "true"`)
}

// TestBlankIsNoName: that a blank is no name is said at its field, and nothing is done.
func TestBlankIsNoName(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.begin()
	s.fill("#technician", strings.Repeat(kb.Backspace, 9)+" ")
	s.settled()
	s.touch("#start")
	s.until(`document.activeElement.id === "technician" && technician.validity.patternMismatch`)
	if title, at := value[string](s, "technician.title"), value[string](s, "location.pathname"); title != "A blank alone does not count." || at != "/" || strings.Contains(b.gaugectl("jobs"), "L2-0417") {
		t.Errorf("at %s: %q", at, title)
	}
}

// TestKeysOfTheStart: on every size what is touched is 60 px high with 12 px between, and
// nothing is wider than the screen, in both languages.
func TestKeysOfTheStart(t *testing.T) {
	b := newBench(t)
	b.gaugectl("job", "start", "ring", "--unit-serial", "SC-0041")
	b.gaugectl("job", "aside", "1", "--reason", "part ordered")
	for _, language := range []string{"en", "de"} {
		s := b.newScreen(language)
		s.open("/start?procedure=ring&serial=SC-OO41&technician=Ada")
		s.there("#start")
		s.shows("#waits", "SC-0041")
		for _, wide := range []int64{360, 768, 1280, 1920} {
			s.do(chromedp.EmulateViewport(wide, 800))
			where := fmt.Sprintf("%s at %d", language, wide)
			s.fits(where)
			s.accessible(where)
			if low := value[[]string](s, `(() => {
				const keys = [...document.querySelectorAll("#begin button, #begin summary, #begin .pick, #begin select, #begin input:not([type=radio]), #begin a.big")].filter((e) => e.checkVisibility());
				const boxes = keys.map((e) => [e.outerHTML.slice(0, 50), e.getBoundingClientRect()]), bad = [];
				for (const [name, a] of boxes) {
					if (a.height < 59.5) bad.push(name + " is " + a.height + " px high");
					for (const [other, c] of boxes) {
						if (name.includes('id="start"') !== other.includes('id="start"')) continue; // it stays where it is, and what is beside it moves under it
						const down = c.top - a.bottom, across = c.left - a.right;
						if (c !== a && Math.max(down, across, a.top - c.bottom, a.left - c.right) < 11.5) bad.push(name + " beside " + other);
					}
				}
				return bad;
			})()`); len(low) > 0 {
				t.Errorf("%s: %s", where, strings.Join(low, "; "))
			}
		}
	}
}

// unseen returns what of the start is not seen whole: outside of the screen, or scrolled away
// in its place. What stands in a selector that finds nothing is not seen either.
const unseen = `(() => {
	const found = [], root = document.documentElement;
	if (root.scrollHeight > root.clientHeight || root.scrollWidth > root.clientWidth) found.push("the page is " + root.scrollWidth + "x" + root.scrollHeight);
	for (const selector of %s) {
		const all = [...document.querySelectorAll(selector)];
		if (!all.length) found.push("there is no " + selector);
		for (const e of all) {
			const box = e.getBoundingClientRect();
			for (let place = e.parentElement; place; place = place.parentElement) {
				const style = getComputedStyle(place), room = place === root ? new DOMRect(0, 0, innerWidth, innerHeight) : place.getBoundingClientRect();
				if (place !== root && style.overflowX === "visible") continue;
				if (!e.checkVisibility() || box.top < room.top - 1 || box.bottom > room.bottom + 1 || box.left < room.left - 1 || box.right > room.right + 1) {
					found.push(selector + " from " + Math.round(box.top) + " to " + Math.round(box.bottom) + " in " + Math.round(room.bottom));
					break;
				}
			}
		}
	}
	return found;
})()`

// TestStartIsOneScreen: from 1280 by 800 on all that is needed to begin a job is seen without
// scrolling, before and after the procedure is chosen, in both languages; with twelve steps
// the key that begins it is.
func TestStartIsOneScreen(t *testing.T) {
	const before, after = `["#serial", "#order", ".pick", "#technician", "#next", "#open", "#waits"]`, `["#serial", "#order", ".pick", "#technician", "#read li", "#bind select", "#start"]`
	for _, of := range []struct {
		name, at, seen string
		bench          func(testing.TB, ...string) *bench
		edits          []string
	}{
		{"before", "/start?serial=SC-0041", before, newBench, nil},
		{"chosen", "/start?procedure=ring&serial=SC-0041&technician=Ada", after, newBench, nil},
		{"demo", "/start?procedure=output-shaft-ring&serial=SC-0041&technician=Ada", after, newDemo, nil},
		{"twelve", "/start?procedure=ring&serial=SC-0041&technician=Ada", `["#serial", "#order", ".pick", "#technician", "#read li", "#start"]`, newBench, long},
	} {
		t.Run(of.name, func(t *testing.T) {
			b := of.bench(t, of.edits...)
			for _, language := range []string{"en", "de"} {
				s := b.newScreen(language)
				s.open(of.at)
				s.there("#go .key")
				s.settled()
				for _, size := range wide {
					s.do(chromedp.EmulateViewport(size.wide, size.high))
					where := fmt.Sprintf("start-%s-%s-%d", of.name, language, size.wide)
					if found := value[[]string](s, fmt.Sprintf(unseen, of.seen)); len(found) > 0 {
						t.Errorf("%s: not seen: %s", where, strings.Join(found, "; "))
					}
					s.keep(where+".png", see(s, chromedp.FullScreenshot(100)))
				}
				s.do(chromedp.EmulateViewport(360, 740))
				if found := value[[]string](s, fmt.Sprintf(strings.Replace(unseen, "root.scrollHeight > root.clientHeight ||", "", 1), `["#go .key"]`)); len(found) > 0 {
					t.Errorf("%s on a phone: not seen: %s", of.name, strings.Join(found, "; "))
				}
			}
		})
	}
}
