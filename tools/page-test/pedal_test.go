//go:build page

package pagetest

import (
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
)

// foot presses a pedal that types a space, or lets it go.
func (s *screen) foot(kind input.DispatchKeyEventType) {
	s.Helper()
	s.do(command(input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Key: " ", Code: "Space", WindowsVirtualKeyCode: 32}))
}

// pedal presses the pedal for a short time, once the key that it acts on does not rest.
func (s *screen) pedal(key string) {
	s.Helper()
	s.there("#bar " + key + ":not([aria-disabled])")
	s.settled()
	s.foot(input.DispatchKeyEventTypeKeyDown)
	s.foot(input.DispatchKeyEventTypeKeyUp)
}

// sounding keeps the pitch of each tone that is asked of the browser, in window.pitches.
const sounding = `window.pitches = [];
const begin = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (...at) { pitches.push(this.frequency.value); return begin.apply(this, at); };`

// TestPedalAlone: a whole job with nothing but a pedal. Held for long it discards the last
// reading, which is heard while it is still down.
func TestPedalAlone(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 24.700")
	s := b.newScreen("en")
	s.do(command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: sounding}))
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "*=indicator")
	s.open("/jobs/1")
	s.pedal("#acknowledge")
	s.shows("#live", "24.700", "live")
	s.pedal("#take")
	s.shows("#bar .last", "24.700")

	s.there("#take:not([aria-disabled])")
	s.settled()
	value[bool](s, "(window.pitches = []).length === 0")
	s.foot(input.DispatchKeyEventTypeKeyDown)
	s.until("pitches.includes(220)")
	if n := value[int](s, `document.querySelectorAll("#repeats .struck").length`); n != 0 {
		t.Error("it was discarded before the pedal was let go")
	}
	s.foot(input.DispatchKeyEventTypeKeyUp)
	s.shows("#repeats .struck", "24.700")

	for _, shown := range []string{"25.210", "25.214", "23.460"} {
		b.hands("set indicator " + shown)
		s.shows("#live", shown, "live")
		s.pedal("#take")
		s.shows("#repeats", shown)
	}
	s.shows("#step", "Fit R160")
	s.pedal("#fit")
	b.hands("set indicator 0.152")
	s.shows("#live", "0.152", "live")
	s.pedal("#take")
	s.shows("#step", "Conforms")
	s.pedal("#sign")
	s.closed()
	s.pedal("#next-unit")
	s.until(`location.pathname === "/" && document.activeElement.id === "serial"`)
	if s.touches > 0 {
		t.Errorf("the screen was touched %d times", s.touches)
	}
	if shown := b.gaugectl("job", "show", "1"); !strings.Contains(shown, "R160") || !strings.Contains(shown, "closed") {
		t.Error(shown)
	}
}

// TestReleasedOutside: a press that is lifted beside its key does nothing, nor does one
// that began beside it, be it with a finger or with a mouse.
func TestReleasedOutside(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 25.210")
	s := b.newScreen("en")
	s.startJob("depth=indicator")
	s.shows("#live", "25.210", "live")
	mouse := func(kind input.DispatchMouseEventType, x, y float64) {
		s.do(command(input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, ClickCount: 1}))
	}
	x, y := s.at("#take")
	const press, lift = input.DispatchMouseEventTypeMousePressed, input.DispatchMouseEventTypeMouseReleased
	mouse(press, x, y)
	mouse(lift, 100, 300)
	mouse(press, 100, 300)
	mouse(lift, x, y)
	mouse(press, x, y)
	mouse(lift, x, y-150) // on the line above, in the same bar
	s.point(input.DispatchTouchEventTypeTouchStart, x, y)
	s.point(input.DispatchTouchEventTypeTouchMove, 100, 300)
	s.point(input.DispatchTouchEventTypeTouchEnd)
	if n := b.readings(); n != 0 {
		t.Errorf("%d readings were taken", n)
	}
	s.finger("#take")
	s.shows("#repeats", "25.210")
	if n := b.readings(); n != 1 {
		t.Errorf("%d readings were taken", n)
	}
}

// point is one change of a finger on the screen, at a point or at none.
func (s *screen) point(kind input.DispatchTouchEventType, at ...float64) {
	s.Helper()
	points := []*input.TouchPoint{}
	if len(at) == 2 {
		points = append(points, &input.TouchPoint{X: at[0], Y: at[1]})
	}
	s.do(command(input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points}))
}

// finger touches an element with a finger, not with a mouse.
func (s *screen) finger(selector string) {
	s.Helper()
	s.touches++
	x, y := s.at(selector)
	s.point(input.DispatchTouchEventTypeTouchStart, x, y)
	s.point(input.DispatchTouchEventTypeTouchEnd)
}
