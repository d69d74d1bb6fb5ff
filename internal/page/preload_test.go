package page

import (
	"regexp"
	"strings"
	"testing"
)

// The same ring chosen for a preload instead of a play.
var preloadProcedure = strings.NewReplacer(
	"allow: {play: {min: 0.10, max: 0.20}}", "allow: {preload: {min: 0.02, max: 0.08}}",
	"play: end_play", "play: -pressed_in", "end_play: {title: End play}", "pressed_in: {title: Pressed in}",
).Replace(ringProcedure)

// sumOfPlay is the one sum that has the play itself, and says so.
var sumOfPlay = regexp.MustCompile(`Measured play \(negative: preload\)(.*?)-0\.055 mm`)

// TestPreload: a preload is never shown with a minus sign, which would make it a
// play for whoever reads it, neither on the page nor on the sheet.
func TestPreload(t *testing.T) {
	r := rigOf(t, preloadProcedure)
	r.begin()
	for _, shown := range []string{"25.000", "25.002"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("enter", []string{"shown", "23.450", "unit", "mm"})
	chosen := r.has("/jobs/1", nil, "It gives: Preload <strong>0.049 mm</strong>", "Allowed 0.020 mm to 0.080 mm", "<td>0.049 mm</td>")
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "Es ergibt: Vorspannung <strong>0,049 mm</strong>")
	r.does("choose", nil)
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.055", "unit", "mm"})
	proved := r.has("/jobs/1", nil, "Conforms: 0.055 mm", "predicted 0.049 mm", "Preload</td><td>0.055 mm</td><td>0.020 mm to 0.080 mm", ">0.055</text>")
	sheet := r.has("/jobs/1/sheet", nil, "0.055 mm", "0.020 mm to 0.080 mm", "0.049 mm")
	for name, page := range map[string]string{"choice": chosen, "proof": proved, "sheet": sheet} {
		for _, wrong := range []string{"-0.049", "-0.055", "-0.020", "-0.08"} {
			if at := strings.Index(sumOfPlay.ReplaceAllString(page, ""), wrong); at >= 0 {
				t.Errorf("%s: %s", name, page[max(at-80, 0):at+20])
			}
		}
	}
}
