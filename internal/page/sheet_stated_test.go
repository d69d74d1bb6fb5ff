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

// provenRings are two rings whose ends are proved one by one; invented.
const provenRings = twoRings + `verify:
  measure: {play_front: {title: Play in front}, play_rear: {title: Play behind}}
  judge:
    play_front: {min: 0.01, max: 0.08, otherwise: look at the seat}
    play_rear: {min: 0.01, max: 0.08, otherwise: look at the seat}
`

// TestPartsPassByPlace: where one of two places fails its proof, page and sheet say which
// part passed and which did not, with both values beside their limits, by their titles.
func TestPartsPassByPlace(t *testing.T) {
	r := rigOf(t, provenRings)
	r.begin()
	r.does("enter", []string{"shown", "1.650", "unit", "mm"})
	r.does("enter", []string{"shown", "1.750", "unit", "mm"})
	r.does("choose", nil)
	r.does("fit", []string{"place", "front"})
	r.does("fit", []string{"place", "rear"})
	r.does("enter", []string{"shown", "0.055", "unit", "mm"})
	r.does("enter", []string{"shown", "0.090", "unit", "mm"})
	page := r.has("/jobs/1", nil,
		"<p>Play in front: <strong>0.055 mm</strong>, Allowed 0.010 mm to 0.080 mm: Conforms</p>",
		"<p>Play behind: <strong>0.090 mm</strong>, Allowed 0.010 mm to 0.080 mm: Does not conform</p>",
		"<p>rear: R160 is fitted and its proof failed.", "<p>Front end: R150: fitted, proof passed.</p>")
	proof, _, _ := strings.Cut(page[strings.Index(page, `id="proof"`):], "</div>")
	for _, wrong := range []string{"play_rear", "play_front", "next round if", "R150 is fitted and"} {
		if strings.Contains(proof, wrong) {
			t.Errorf("the verdict says %q: %s", wrong, proof)
		}
	}
	if n := strings.Count(proof, "No next round"); n != 1 {
		t.Errorf("the next round is spoken of %d times: %s", n, proof)
	}
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "<p>rear: R160 ist eingebaut und hat den Nachweis nicht bestanden.", "<p>Front end: R150: eingebaut, Nachweis bestanden.</p>")
	if sheet := r.has("/jobs/1/sheet", nil, "fitted, proof passed", "<td>Play behind</td>"); strings.Count(sheet, "fitted, proof failed") != 1 {
		t.Error("not one part failed its proof on the sheet")
	}
	if text := r.pdfText("/jobs/1/sheet.pdf"); strings.Count(text, "proof failed") != 1 || strings.Count(text, "proof passed") != 1 {
		t.Error(text)
	}
}

// TestVerdictShowsItsResults: a verdict without a proof stands beside the value and the
// limits that it was given by.
func TestVerdictShowsItsResults(t *testing.T) {
	r := rigOf(t, "procedure: ring\ntitle: Friction\nunit: mm\nmeasure: {drag: {title: Friction torque, unit: N m}}\njudge: {drag: {min: 1.2, max: 2.0, unit: N m}}\n")
	r.begin()
	r.does("enter", []string{"shown", "1.6", "unit", "N m"})
	r.has("/jobs/1", nil, "<p>Friction torque: <strong>1.6 N m</strong>, Allowed 1.2 N m to 2 N m: Conforms</p>")
}

// TestZeroMasterInEachLanguage: the master that is always there is called in the language of
// the page.
func TestZeroMasterInEachLanguage(t *testing.T) {
	r := newRig(t)
	for path, language := range map[string]string{"/gauges/line/check": "de", "/gauges/line/study": "de"} {
		r.has(path, []string{"Accept-Language", language}, "zero: Messflächen geschlossen oder auf einer ebenen Platte")
	}
}
