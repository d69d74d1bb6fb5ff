//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// spot is where a key stands, size by size.
type spot []struct{ Left, Top, Right, Bottom float64 }

// spots are the screens on which a key may not stand where the one before it stood.
var spots = []struct{ wide, high int64 }{{360, 740}, {1280, 800}, {1920, 1080}}

// spot waits for a key of the bar, and says where it stands.
func (s *screen) spot(key string) (where spot) {
	s.Helper()
	s.there("#bar " + key)
	s.settled()
	for _, size := range spots {
		s.do(chromedp.EmulateViewport(size.wide, size.high))
		where = append(where, value[spot](s, `[(({ left, top, right, bottom }) => ({ Left: left, Top: top, Right: right, Bottom: bottom }))(document.querySelector("#bar .key").getBoundingClientRect())]`)...)
	}
	s.do(chromedp.EmulateViewport(1280, 800))
	return where
}

// apart fails the test where a key stands in the spot of the one before it.
func (s *screen) apart(before, key string, from, to spot) {
	s.Helper()
	for i, size := range spots {
		if a, b := from[i], to[i]; a.Left < b.Right && b.Left < a.Right && a.Top < b.Bottom && b.Top < a.Bottom {
			s.Errorf("%dx%d: %s stands at %v, and after it %s at %v", size.wide, size.high, before, a, key, b)
		}
	}
}

// TestSpotsOfTheirOwn: no key stands where the one before it stood, but for the next reading
// of the same measurement: a second touch takes nothing, fits nothing and signs nothing.
func TestSpotsOfTheirOwn(t *testing.T) {
	const one = "gap: depth - cover\nallow: {play: {min: 0.100, max: 0.200}}\nparts: rings\nchoose: {method: middle}\n"
	const place = "gap: depth - cover, allow: {play: {min: 0.100, max: 0.200}}, parts: rings, choose: {method: middle}}\n"
	const pair = "fit:\n  front: {title: Anlaufscheibe vorn, " + place + "  rear: {title: Anlaufscheibe hinten, " + place
	for name, edits := range map[string][]string{
		"one place":  nil,
		"two places": {one, pair, "  play: end_play\n  predicted_within: 0.040\n", "  judge: {end_play: {min: 0.100, max: 0.200}}\n"},
		"two proofs": {"      instrument: indicator\n      plausible: {min: -1, max: 3}\n", "      instrument: indicator\n      plausible: {min: -1, max: 3}\n    turned: {title: Turned by hand, plausible: {min: -1, max: 3}}\n"},
	} {
		for _, language := range []string{"en", "de"} {
			t.Run(name+" "+language, func(t *testing.T) {
				b := newBench(t, edits...)
				s := b.newScreen(language)
				b.hands("set indicator 25.210")
				b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--by", "Ada", "--gauge", "depth=indicator", "--gauge", "end_play=indicator")
				s.open("/jobs/1")
				was, at := "#acknowledge", s.spot("#acknowledge")
				comes := func(key string) {
					t.Helper()
					now := s.spot(key)
					s.apart(was, key, at, now)
					was, at = key, now
				}
				waits := func(key string) { // set aside elsewhere, and taken up here
					t.Helper()
					b.gaugectl("job", "aside", "1", "--reason", "shift ends", "--for", "Ada")
					was, at = "#resume", s.spot("#resume")
					s.touch("#resume")
					comes(key)
				}
				s.touch("#acknowledge")
				comes("#take")
				waits("#take")
				s.shows("#live", "25")
				s.touch("#take")
				s.shows("#bar .last", "25")
				s.settled()
				s.touch("#take")
				comes("#enter")
				waits("#enter")
				s.typed("23.458")
				comes("#fit")
				waits("#fit")
				if name == "two places" {
					s.shows("#fit", "vorn")
					s.touch("#fit")
					s.shows("#fit", "hinten")
					comes("#fit")
					waits("#fit")
				}
				s.touch("#fit")
				b.hands("set indicator 0.152")
				s.until(`document.querySelector("#live")?.innerText.includes("152")`)
				comes("#take")
				s.touch("#take")
				if name == "two proofs" {
					comes("#enter")
					s.typed("0.150")
				}
				comes("#sign")
				s.touch("#sign")
				s.closed()
				comes("#next-unit")
			})
		}
	}
}
