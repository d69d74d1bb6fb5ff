//go:build page

package pagetest

import (
	"testing"
)

// TestStart: the first page in both languages, and that it hears of jobs.
func TestStart(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.open("/")
	s.shows("#open", "No job is open.")
	s.look("start")

	german := b.newScreen("de-CH,de;q=0.9")
	german.open("/")
	german.shows("h1", "Auftrag beginnen")
	german.look("start-german")
}

// TestAccessibleCheckFinds: the looking over finds what is wrong.
func TestWhatTheSettingsKeep(t *testing.T) {
	s := newBench(t).newScreen("en")
	s.open("/")
	s.light("light")
	s.touch(".settings summary")
	s.do(choose("select[name=language]", "de"), choose("select[name=light]", "dark"))
	s.touch(".settings button")
	s.shows("h1", "Auftrag beginnen")
	s.accessible("dark as set")
	if ground := value[string](s, `getComputedStyle(document.body).backgroundColor`); ground != "rgb(16, 23, 22)" {
		t.Errorf("the ground is %s", ground)
	}
	s.do(reload)
	s.shows("h1", "Auftrag beginnen")
}
