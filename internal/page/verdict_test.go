package page

import (
	"regexp"
	"strings"
	"testing"
)

// TestBadResultIsSaidOnce: the step of a bad verdict says the value that was measured once, in
// its headline, with the limits below it; the drawing and the steps have it beside.
func TestBadResultIsSaidOnce(t *testing.T) {
	r := newRig(t)
	r.decided("0.232")
	for language, headline := range map[string]string{"en": "Does not conform: 0.232", "de": "Nicht in Ordnung: 0,232"} {
		page := r.has("/jobs/1", []string{"Accept-Language", language}, headline)
		step := page[strings.Index(page, `<section id="step"`):strings.Index(page, `<section id="live"`)]
		step = regexp.MustCompile(`(?s)<svg.*?</svg>`).ReplaceAllString(step, "")
		if n := len(regexp.MustCompile(`0[.,]232`).FindAllString(step, -1)); n != 1 {
			t.Errorf("%s: the value stands there %d times:\n%s", language, n, step)
		}
		if n := len(regexp.MustCompile(`0[.,]200`).FindAllString(step, -1)); n != 1 {
			t.Errorf("%s: the limit stands there %d times:\n%s", language, n, step)
		}
	}
}
