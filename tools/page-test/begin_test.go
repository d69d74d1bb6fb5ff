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
	if s.text("#bind") != "Choose the gauges" || value[bool](s, `!!document.querySelector("[name=procedure]:checked")`) {
		t.Errorf("a procedure was chosen: %s", s.text("#bind"))
	}
	s.press("SC-0099" + kb.Enter) // with the focus on a choice
	s.until(`serial.value === "SC-0099" && document.activeElement.name === "procedure"`)
	s.shows("#unit", "This unit is new here.")
	s.touch("input[value=ring]")
	s.there("#start")
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
	s.open("/")
	s.there("[data-who=Ada]")
	s.until(`technician.value === "Ada"`)
	s.fill("#technician", "x")
	s.touch("[data-who=Ada]") // in one touch
	s.until(`technician.value === "Ada" && document.querySelector("[data-who=Ada]").ariaPressed === "true"`)
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
