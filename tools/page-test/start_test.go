//go:build page

package pagetest

import (
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestStart: the first page in both languages, and that it hears of jobs.
func TestStart(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.open("/")
	s.shows("#open", "No open jobs.")
	s.look("start")

	german := b.newScreen("de-CH,de;q=0.9")
	german.open("/")
	german.shows("h1", "Auftrag starten")
	german.look("start-german")
}

// TestLookingOverFinds: a page that is wrong in every way that is looked for.
func TestLookingOverFinds(t *testing.T) {
	s := newBench(t).newScreen("en")
	s.open("/")
	s.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("main").insertAdjacentHTML("beforeend",
		'<button></button><p class="pale">pale</p><div style="color: red">wide</div><img src="http://127.0.0.2:9/">');
		document.querySelector(".pale").style.color = "#eee";
		document.querySelector("main").style.width = "3000px";
		setTimeout(() => { throw new Error("thrown") })`))
	var found []string
	for _, v := range s.violations() {
		found = append(found, v.ID)
	}
	slices.Sort(found)
	if want := []string{"button-name", "color-contrast", "image-alt"}; !slices.Equal(found, want) {
		t.Errorf("axe found %q, want %q", found, want)
	}
	if wider := s.wider(); len(wider) == 0 {
		t.Error("nothing is wider than the screen")
	}
	for _, want := range []string{"asks another place", "Content Security Policy", "exception in the page"} {
		s.await("it is said: "+want, func() bool {
			s.mu.Lock()
			defer s.mu.Unlock()
			return strings.Contains(strings.Join(s.wrongs, "\n"), want)
		})
	}
	s.mu.Lock()
	s.wrongs = nil
	s.mu.Unlock()
}

// TestWhatTheSettingsKeep: language and light stay over a reload.
func TestWhatTheSettingsKeep(t *testing.T) {
	s := newBench(t).newScreen("en")
	s.open("/")
	s.light("light")
	s.touch(".settings summary")
	s.choose("select[name=language]", "de")
	s.choose("select[name=light]", "dark")
	s.touch(".settings button")
	s.shows("h1", "Auftrag starten")
	s.accessible("dark as set")
	if ground := value[string](s, `getComputedStyle(document.body).backgroundColor`); ground != "rgb(16, 23, 22)" {
		t.Errorf("the ground is %s", ground)
	}
	s.do(reload)
	s.shows("h1", "Auftrag starten")
}
