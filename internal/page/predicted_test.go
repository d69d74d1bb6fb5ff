package page

import (
	"strings"
	"testing"
)

// TestPredictedPlayIsOfTheFittedPart: page and sheet tell the play of the part that is in,
// and the recommended one as what was recommended.
func TestPredictedPlayIsOfTheFittedPart(t *testing.T) {
	r := newRig(t, stating)
	r.begin()
	for _, shown := range []string{"25.210", "25.212", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("choose", []string{"part", "R150", "reason", "the last one"})
	r.does("fit", []string{"sure", "1"})
	r.has("/jobs/1", nil, "<p>recommended: <strong>R160</strong>", "<p>Fitted: <strong>R150</strong>, 1.500 mm; predicted 0.251 mm")
	row := `<td>R150</td><td>1</td><td>1.500 mm</td><td>0.251 mm</td>`
	sheet := r.has("/jobs/1/sheet", nil, "<td>1.751 mm</td><td>R150, nominally 1.500 mm thick</td><td>0.251 mm</td>")
	if !strings.Contains(sheet, row) {
		t.Errorf("no row %s in %s", row, sheet)
	}
	r.has("/jobs/1/sheet", []string{"Accept-Language", "de"}, ">eingebaut</td>", ">empfohlen</td>")
}
