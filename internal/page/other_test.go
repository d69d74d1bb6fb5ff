package page

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// otherParts is what is said of the parts that may be chosen by hand.
func (r *rig) otherParts(headers ...string) string {
	r.Helper()
	page := r.has("/jobs/1", headers, `id="panel-other"`)
	_, panel, _ := strings.Cut(page, `id="panel-other"`)
	panel, _, _ = strings.Cut(panel, `id="panel-fit"`)
	return panel
}

// TestOtherPartIsHeldAgainstTheRule: a part that the rule of the procedure does not take is
// not said to fit, neither before it is chosen nor after.
func TestOtherPartIsHeldAgainstTheRule(t *testing.T) {
	r := rigOf(t, strings.Replace(ringProcedure, "max: 0.20", "max: 0.26", 1)+"decide: guard band\n", func(o *station.Options) {
		limit := gauge.MustLength("0.004", gauge.Millimetre)
		o.Gauges[2].Ability = gauge.Ability{Unit: gauge.Millimetre, Resolution: &o.Gauges[2].Resolution, Error: &limit}
	})
	r.begin("depth", "micrometer", "height", "micrometer", "end_play", "micrometer")
	for _, shown := range []string{"25.163", "25.163", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.shows(200, r.otherParts(), "R150 (1) 1.500 mm: 0.203 mm, fits,", "R155 (2) 1.550 mm: 0.153 mm, fits,",
		"R160 (3) 1.600 mm: 0.103 mm, not recommended: it would end inside with a probability of only ")
	r.shows(200, r.otherParts("Accept-Language", "de"), "nicht empfohlen: es läge mit nur ")
	r.does("choose", []string{"part", "R160", "reason", "the last one"})
	r.has("/jobs/1", nil, `<p class="sign bad">R160 not recommended: it would end inside`)
}

// TestOtherPartThatFailed: the part whose proof failed is not said to fit, whatever the sum says.
func TestOtherPartThatFailed(t *testing.T) {
	r := newRig(t)
	r.decided("0.230")
	r.shows(200, r.otherParts(), "R160 (3) 1.600 mm: 0.151 mm, not recommended: fitted, proof failed,")
}

// TestOtherPartHasItsOwnWord: a part that would leave a play where a preload is wanted is
// shown with that play, and a preload is none with a minus sign.
func TestOtherPartHasItsOwnWord(t *testing.T) {
	for name, c := range map[string]struct{ procedure, depth, want, german string }{
		"preload": {preloadProcedure, "25.000", "R150 (1) 1.500 mm: Play 0.050 mm, does not fit", "R150 (1) 1,500 mm: Spiel 0,050 mm, passt nicht"},
		"play":    {ringProcedure, "25.000", "R160 (3) 1.600 mm: Preload 0.050 mm, does not fit", "R160 (3) 1,600 mm: Vorspannung 0,050 mm, passt nicht"},
	} {
		r := rigOf(t, c.procedure)
		r.begin()
		for _, shown := range []string{c.depth, c.depth, "23.450"} {
			r.does("enter", []string{"shown", shown, "unit", "mm"})
		}
		r.shows(200, r.otherParts(), c.want)
		r.shows(200, r.otherParts("Accept-Language", "de"), c.german)
		if panel := r.otherParts(); strings.Contains(panel, "-0.0") {
			t.Errorf("%s: %s", name, panel)
		}
	}
}

// TestOtherPartOfTheCurrentPlace: the place whose part is fitted now comes first.
func TestOtherPartOfTheCurrentPlace(t *testing.T) {
	r := rigOf(t, twoRings)
	r.begin()
	r.does("enter", []string{"shown", "1.650", "unit", "mm"})
	r.does("enter", []string{"shown", "1.750", "unit", "mm"})
	first := func(want, then string) {
		t.Helper()
		panel := r.otherParts()
		if a, b := strings.Index(panel, want), strings.Index(panel, then); a < 0 || b < a {
			t.Errorf("%s at %d, %s at %d", want, a, then, b)
		}
	}
	first("<h2>Front end</h2>", "<h2>rear</h2>")
	r.does("fit", []string{"place", "front"})
	first("<h2>rear</h2>", "<h2>Front end</h2>")
}
