//go:build page

package pagetest

import (
	"fmt"
	"strings"
	"syscall"
	"testing"

	"github.com/chromedp/chromedp"
)

// containsNumber reports whether a text has a number, and not only as a part of another.
func containsNumber(text, number string) bool {
	return strings.Contains(" "+strings.NewReplacer("+", " ", "\n", " ").Replace(text)+" ", " "+number+" ")
}

// TestReload: what was taken is there after the page is loaded again, and the job goes on.
func TestReload(t *testing.T) {
	s := newBench(t).newScreen("en")
	s.startJob("depth=depth")
	s.pressed("depth", "25.210")
	s.shows("#repeats", "25.210")
	s.do(reload)
	s.shows("#repeats", "25.210")
	s.until(`!document.querySelector("#acknowledge")`)
	s.pressed("depth", "25.214")
	s.shows("#step", "Height of the cover")
	s.do(reload)
	s.typed("23.460")
	s.shows("#step", "R160")
}

// TestTwoScreens: what is done on one screen is on the other at once; one that
// was cut off meanwhile comes up to date, and what it shows of before does nothing.
func TestTwoScreens(t *testing.T) {
	b := newBench(t)
	s, other := b.newScreen("en"), b.newScreen("de")
	cable := other.onCable()
	s.startJob("depth=depth")
	other.open("/jobs/1")
	s.pressed("depth", "25.210")
	s.shows("#repeats", "25.210")
	other.shows("#repeats", "25,210")

	other.refusals(true)
	cable.cut()
	other.there("#lost")
	s.pressed("depth", "25.214")
	s.shows("#step", "Height of the cover")
	s.typed("23.460")
	s.shows("#step", "R160")
	cable.mend()
	other.shows("#step", "R160")
	other.until(`document.querySelector("#lost").hidden`)

	// A form of before, as it would be sent by a touch just as the other screen chooses.
	stale := value[string](other, fmt.Sprintf("document.querySelector(%q).value", "#act input[name=seen]"))
	s.touch("#panel-other summary")
	s.choose("#other-part", "R165")
	s.fill("#other-why", "the last one")
	s.touch("#other button:not([type=button])")
	other.shows("#step", "R165 einbauen", "Nicht das empfohlene Teil (R160)")
	status := see(other, chromedp.Evaluate[int](fmt.Sprintf(`fetch("/jobs/1/choose", { method: "POST", headers: { "X-Script": "1" },
		body: new URLSearchParams({ seen: %q, part: "R150", reason: "x" }) }).then((r) => r.status)`, stale), chromedp.EvalAwaitPromise))
	if status != 409 {
		t.Errorf("what was shown before the other's choice is answered with %d", status)
	}
	s.touch("#panel-other summary")
	s.refusals(true)
	s.touch("#fit")
	s.touch("#sure") // it is another part than the recommended one
	other.shows("#step", "End play with the ring")
}

// TestTouchedTwice: two touches of a heavy finger are one.
func TestTouchedTwice(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 25.210")
	s := b.newScreen("en")
	s.startJob("depth=indicator")
	s.shows("#live", "25.210")
	s.refusals(true)
	x, y := s.at("#take")
	s.do(chromedp.MouseClickXY(x, y), chromedp.MouseClickXY(x, y))
	s.shows("#repeats", "25.210")
	if n := b.readings(); n != 1 {
		t.Errorf("%d readings were taken", n)
	}
}

// TestDaemonKilledInJob: the daemon is killed in the middle of a job, and the
// page goes on where it was when it is back.
func TestDaemonKilledInJob(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.startJob("depth=depth")
	s.pressed("depth", "25.210")
	s.shows("#repeats", "25.210")
	value[bool](s, `window.sameDocument = true`)
	s.refusals(true)
	b.stop(syscall.SIGKILL)
	s.there("#lost")
	s.shows("#lost", "No connection to the station")
	s.look("job-connection-lost")
	b.start()
	s.until(`document.querySelector("#lost").hidden`)
	s.refusals(false)
	b.await("the gauge is back", func() bool { return b.Line("depth").Listening() })
	s.pressed("depth", "25.214")
	s.shows("#repeats", "25.210", "25.214")
	s.until("window.sameDocument")
}

// TestTypedInGerman: a decimal comma, and a value that cannot be asks back.
func TestTypedInGerman(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("de")
	s.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417")
	s.open("/jobs/1")
	s.touch("#acknowledge")
	s.refusals(true)
	s.pad("2,52")
	s.touch("#enter")
	s.there("#sure")
	s.look("job-implausible-german")
	if n := b.readings(); n != 0 {
		t.Errorf("2,52 was taken without a question: %d readings", n)
	}
	s.pad("<<<5,21")
	s.touch("#enter")
	s.shows("#repeats", "25,21 mm")
	s.until(`document.querySelector("#told").hidden`)
	s.typed("25,214")
	s.shows("#step", "Height of the cover")
	s.pad("3,46")
	s.touch("#enter")
	s.touch("#sure") // it is meant
	s.shows("#notice", "nicht plausibel")
	s.discardLast()
	s.shows("#repeats", "verworfen: Messmittel verrutscht")
	s.touch("#panel-readings summary")
	s.typed("23,460")
	s.shows("#step", "R160", "0,152")
	s.look("job-choose-german")
}

// pad touches keys of the page's pad; < is the one that takes the last one back.
func (s *screen) pad(keys string) {
	s.Helper()
	for _, key := range keys {
		name := string(key)
		switch key {
		case ',':
			name = "."
		case '<':
			name = "back"
		}
		s.touch(fmt.Sprintf("[data-key=%q]", name))
	}
}
