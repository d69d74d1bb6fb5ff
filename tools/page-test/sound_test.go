//go:build page

package pagetest

import "testing"

// TestSound: the first touch lets sound through, the switch turns it off, and the
// device remembers that; the page's edge shows the tones all the same.
func TestSound(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 25.210")
	s := b.newScreen("en")
	s.startJob("depth=indicator")
	s.shows("#sound", "Sound is on") // the cautions were touched
	s.touch("#sound")
	s.shows("#sound", "Sound is off")
	s.do(reload)
	s.shows("#sound", "Sound is off")
	s.tones()
	s.shows("#live", "25.210")
	s.touch("#take")
	s.heard("taken")
	s.touch("#sound")
	s.shows("#sound", "Sound is on")
}
