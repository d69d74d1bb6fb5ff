package page

import (
	"strings"
	"testing"
)

// TestRounds: after a bad proof one key goes on from what is in; the earlier round
// stands struck on the page and on the sheet, in both languages.
func TestRounds(t *testing.T) {
	r := rigOf(t, ringProcedure)
	r.begin()
	for _, shown := range []string{"25.000", "25.002"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("enter", []string{"shown", "23.350", "unit", "mm"})
	r.does("choose", nil)
	r.does("fit", []string{"thickness", "1.50"})
	r.does("enter", []string{"shown", "0.250", "unit", "mm"})
	r.has("/jobs/1", nil, "Start the next round")
	r.does("round", nil)
	r.has("/jobs/1", nil, "Round 2 of at most 3", "<s>R150 1.500 mm; Play 0.250 mm; Does not conform</s>", "fitted_1 &#43; end_play_1", "1.500 &#43; 0.250")
	r.has("/jobs/1", nil, "End play (round 1)")
	if german := r.has("/jobs/1", []string{"Accept-Language", "de"}, "Runde 2 von höchstens 3", "End play (Runde 1)", "R150 (Runde 1)"); strings.Contains(german, "(round") {
		t.Error("a round is English on a German page")
	}
	r.has("/jobs/1/sheet", []string{"Accept-Language", "de"}, "End play (Runde 1): 0,250 mm")
	r.has("/jobs/1/sheet", nil, "Earlier rounds", `<tr class="struck"><td>Round 1</td>`, "Everything else on this sheet is from round 2", "Round 2 begins")
	r.has("/jobs/1/sheet", []string{"Accept-Language", "de"}, "Frühere Runden", "Runde 2 beginnt")
	r.does("choose", nil)
	r.does("fit", []string{"thickness", "1.60"})
	r.does("enter", []string{"shown", "0.000", "unit", "mm"})
	r.does("fit", []string{"thickness", "1.61"})
	r.does("enter", []string{"shown", "0.140", "unit", "mm"})
	r.has("/jobs/1", nil, "Conforms")
	sheet := r.has("/jobs/1/sheet", []string{"Accept-Language", "de"}, "zählt nicht in dieser Runde: aus Runde 1", "zählt nicht: von einem früheren Einbau", "<td>End play (Runde 2)</td>", "eingetippt von")
	for _, odd := range []string{"<td>, ", "Ausgabe ,"} {
		if strings.Contains(sheet, odd) {
			t.Errorf("the sheet has %q", odd)
		}
	}
	r.has("/jobs/1/sheet.pdf", nil)
}

// TestMissedLimitOnThePage: a proof that misses its limit by a hair does not stand there as
// that limit, in the headline, in the drawing or in the table.
func TestMissedLimitOnThePage(t *testing.T) {
	r := rigOf(t, ringProcedure)
	r.begin()
	for _, shown := range []string{"25.000", "25.002", "23.350"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("choose", nil)
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.20001", "unit", "mm"})
	r.has("/jobs/1", nil, "Does not conform: 0.20001 mm", "Allowed 0.100 mm to 0.200 mm", ">0.20001</text>", "Play</td><td>0.20001 mm</td><td>0.100 mm to 0.200 mm")
	r.has("/jobs/1/sheet", nil, `<p class="outcome bad">Does not conform</p>`)
	r.has("/jobs/1", []string{"Accept-Language", "de"}, ": 0,20001 mm", "Spiel</td><td>0,20001 mm</td><td>0,100 mm bis 0,200 mm")
}
