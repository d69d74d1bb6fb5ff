package page

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// twoRings fits a ring at each end of a shaft; invented.
const twoRings = `procedure: ring
title: Two rings
unit: mm
measure: {left: {title: Left gap}, right: {title: Right gap}}
fit:
  front: {title: Front end, gap: left, allow: {play: {min: 0.10, max: 0.20}}, parts: rings, choose: {method: middle}}
  rear: {gap: right, allow: {play: {min: 0.10, max: 0.20}}, parts: rings, choose: {method: middle}}
`

// TestFitNamesItsPlace: of two places each form to fit a part says in sight which it is for.
func TestFitNamesItsPlace(t *testing.T) {
	r := rigOf(t, twoRings)
	r.begin()
	r.does("enter", []string{"shown", "1.650", "unit", "mm"})
	r.does("enter", []string{"shown", "1.750", "unit", "mm"})
	r.does("choose", nil)
	r.has("/jobs/1", nil, "<h2>Front end</h2>", "<h2>rear</h2>",
		`<button id="fit-measuredfront">Front end: Fit R150</button>`, `<button id="fit-measuredrear">rear: Fit R160</button>`,
		`<button id="fit" class="key">Front end: Fit R150</button>`)
	r.does("fit", []string{"place", "front"})
	r.has("/jobs/1", nil, "<h2>Front end</h2>", "The part was removed and fitted again", `<button id="fit" class="key">rear: `)
}

// stating are options with a gauge whose error is stated, beside one of which only
// the step of its display is known.
func stating(o *station.Options) {
	limit, step := gauge.MustLength("0.004", gauge.Millimetre), gauge.MustLength("0.001", gauge.Millimetre)
	o.Gauges[0].Ability = gauge.Ability{Unit: gauge.Millimetre, Resolution: &step, Error: &limit}
	o.Gauges[1].Ability = gauge.Ability{Unit: gauge.Millimetre, Resolution: &step}
}

// TestSheetSaysWhatIsStated: where something is stated of a gauge, the sheet says for
// each result what is missing, and not that nothing is stated.
func TestSheetSaysWhatIsStated(t *testing.T) {
	r := newRig(t, stating)
	wholeJob(r)
	const nothing = "nothing is stated about the gauges"
	sheet := r.has("/jobs/1/sheet", nil,
		"Gap: no uncertainty budget, because the error of the gauge for Height of the boss is not stated.",
		"Measured play: no uncertainty budget, because the error of the gauge for End play is not stated.")
	if strings.Contains(sheet, nothing) {
		t.Error(nothing)
	}
	r.has("/jobs/1/sheet", []string{"Accept-Language", "de"}, "Spalt: kein Unsicherheitsbudget, weil die Abweichung des Messmittels für Height of the boss")
	without := newRig(t)
	wholeJob(without)
	without.has("/jobs/1/sheet", nil, nothing)
}

// TestSheetSaysGapAndPlay: the gap without a part is no play; what was measured before
// stands there as what it is, a preload as a preload; a gauge's plus and zeros in front
// are left out, and all digits it showed behind them stay.
func TestSheetSaysGapAndPlay(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "line")
	for _, shown := range []string{"+025.210", "+025.212"} {
		r.reads("line", shown)
		r.await("the reading is there", func() bool {
			return r.station.Gauges()[1].Last.Reading != nil && r.station.Gauges()[1].Last.Reading.Shown == shown
		})
		r.does("take", nil)
	}
	r.does("enter", []string{"shown", "23.460", "unit", "mm"})
	r.does("choose", nil)
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.150", "unit", "mm"})
	sheet := r.has("/jobs/1/sheet", nil,
		"<th scope=\"col\">Gap</th>", "<td>Play</td><td>1.751 mm</td><td>R160, nominally 1.600 mm thick</td><td>0.151 mm</td><td>0.150 mm</td>", "<td>25.210 mm</td>")
	for _, wrong := range []string{"<th scope=\"col\">Before</th>", "+025"} {
		if strings.Contains(sheet, wrong) {
			t.Errorf("the sheet has %q", wrong)
		}
	}
	found := rigOf(t, strings.Replace(preloadProcedure, "gap: depth - height", "  found: {title: Play found}\njudge: {preload: {value: -found, min: -1, max: 1}}\ngap: depth - height", 1))
	found.begin()
	for _, shown := range []string{"25.000", "25.002", "23.450", "0.300"} {
		found.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	found.has("/jobs/1/sheet", nil, "<td>Preload</td><td>0.300 mm</td><td>1.551 mm</td>")
}
