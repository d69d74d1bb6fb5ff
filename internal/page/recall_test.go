package page

import (
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/station"
)

// TestRecall: the job conforms with a play of 0.150; its depth gauge, which showed
// 0.060 too much, measured before fitting, and the typed play stands.
func TestRecall(t *testing.T) {
	r := newRig(t)
	wholeJob(r)
	r.has("/gauges/button/recall", nil, "Recall: effect of gauge button")
	r.has("/gauges/button/recall?go=1&error=0.060&unit=mm", nil, "Jobs measured with this gauge: 1.", "typed in", "0.060 mm", "All jobs were examined.", `<a href="/jobs/1/sheet">1</a>`, "U &lt;7&gt;")
	status, table := r.get("/gauges/button/recall.csv?go=1&error=0,060&unit=mm", "Accept-Language", "de")
	if lines := strings.Split(strings.TrimSpace(table), "\n"); status != http.StatusOK || len(lines) != 2 || !strings.HasPrefix(lines[1], "1,U <7>,,play,") || !strings.Contains(lines[1], ",0.15,") {
		t.Errorf("%d %q", status, lines)
	}
	r.has("/gauges/button/recall?go=1&error=60&unit=um&standard=5", nil, "60 µm", "standard uncertainty 5 µm", `name="standard" inputmode="decimal" value="5"`)
	begun, err := r.station.BeginCheck(t.Context(), "button", "quality", nil, health.BegunData{})
	if err != nil {
		t.Fatal(err)
	}
	cursor := r.station.Watch(r.station.Newest())
	r.reads("button", "24.900")
	if _, err := cursor.Next(t.Context()); err != nil {
		t.Fatal(err)
	}
	readings, err := r.station.Readings(t.Context(), gauge.Query{Gauge: "button", After: begun.Seq, Limit: 1})
	if err != nil || len(readings) != 1 {
		t.Fatal(readings, err)
	}
	if _, err := r.station.RecordCheck(t.Context(), station.CheckRequest{Gauge: "button", By: "quality", Confirmed: true, Found: []station.CheckPoint{{Master: "zero", Readings: []uint64{readings[0].Seq}}}}); err != nil {
		t.Fatal(err)
	}
	r.has("/gauges/button/recall?go=1", nil, "check ", " by quality: no limit stated", "24.900 mm", "known at this master only", "Jobs without a probability: 1.", "it was constant", "All jobs were examined.")
	r.has("/gauges/button/recall?go=1", []string{"Accept-Language", "de"}, "sie war konstant", "Gefunden durch", "Qualitätsleitung, Datum")
	r.has("/gauges/button/recall?go=1&model=from+work", nil, "job results", "day by day")
	for query, want := range map[string]string{
		"go=1&model=growing":                   "say since when its error grew",
		"go=1&model=odd":                       "is no way in which an error comes about",
		"go=1&model=from+work&error=1&unit=mm": "an error that the jobs tell is not given as well",
		"go=1&error=1&unit=mm&standard=-1":     "the standard uncertainty of the error is not negative",
		"go=1&error=0.1&unit=degC":             "is a unit of",
		"go=1&error=1e3&unit=mm":               "not a length",
		"go=1&error=1&unit=mm&since=x":         "is no day such as",
	} {
		if status, body := r.get("/gauges/button/recall?" + query); status != http.StatusUnprocessableEntity || !strings.Contains(body, want) {
			t.Errorf("%s: %d %s", query, status, body)
		}
	}
}

// TestRecallOfAPreload: a preload stands in the list without a sign, between its limits.
func TestRecallOfAPreload(t *testing.T) {
	r := rigOf(t, preloadProcedure)
	r.begin("depth", "button")
	for i, shown := range []string{"25.000", "25.002"} {
		r.reads("button", shown)
		r.await("the depth", func() bool { return len(r.job().Evaluation.Measurements[0].Readings) == i+1 })
	}
	r.does("enter", []string{"shown", "23.450", "unit", "mm"})
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.055", "unit", "mm"})
	page := r.has("/gauges/button/recall?go=1&error=0.010&unit=mm", nil, "<td>0.055 mm</td>", "<td>0.020 mm to 0.080 mm</td>")
	if strings.Contains(page, "-0.055") || strings.Contains(page, "-0.080") {
		t.Error("a preload has a minus sign")
	}
	_, table := r.get("/gauges/button/recall.csv?go=1&error=0.010&unit=mm")
	if rows := strings.Split(strings.TrimSpace(table), "\n"); len(rows) != 2 || !strings.Contains(rows[1], ",preload,") || !strings.Contains(rows[1], ",0.055,") || !strings.Contains(rows[1], ",0.02,0.08,mm,") {
		t.Errorf("%s", table)
	}
}

// TestRecallCountsItsRows: each sentence has as many jobs as rows say, on the page and in its
// table; results of a job are no further jobs. Each play is as wide as the gap that is left: the
// dial measured the depth, and the proof of the odd ones.
func TestRecallCountsItsRows(t *testing.T) {
	r := newRig(t)
	for n, proof := range []string{"0.150", "0.190", "0.195", ""} {
		started, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: fmt.Sprint("U", n), Technician: "demo", Gauges: map[string]string{"depth": "button", "end_play": "button"}})
		if err != nil {
			t.Fatal(err)
		}
		id := started.ID
		for i, shown := range []string{"25.210", "25.212"} {
			r.reads("button", shown)
			r.await("the depth", func() bool {
				j, err := r.station.Job(t.Context(), id)
				return err == nil && len(j.Evaluation.Measurements[0].Readings) == i+1
			})
		}
		if _, _, err := r.station.Enter(t.Context(), station.EnterRequest{Job: id, Measurement: "height", Shown: "23.460", Unit: gauge.Millimetre, By: "demo"}); err != nil {
			t.Fatal(err)
		}
		if _, err := r.station.Fit(t.Context(), station.FitRequest{Job: id, By: "demo"}); err != nil {
			t.Fatal(err)
		}
		if proof != "" {
			r.reads("button", proof)
			r.await("the proof", func() bool {
				j, err := r.station.Job(t.Context(), id)
				return err == nil && j.Evaluation.Outcome == evaluate.Conforms
			})
			if _, err := r.station.Verify(t.Context(), id, "demo"); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := r.station.CloseJob(t.Context(), id, "test", "demo"); err != nil {
			t.Fatal(err)
		}
	}
	const ask = "go=1&error=-0.008&unit=mm" // the gauge showed too little: plays were larger
	page := r.has("/gauges/button/recall?"+ask, nil)
	rows := map[string]int{}
	for _, found := range regexp.MustCompile(`<tr data-change="(\w+)"`).FindAllStringSubmatch(page, -1) {
		rows[found[1]]++
	}
	if rows["flipped"] == 0 || rows["kept"] == 0 {
		t.Errorf("this says nothing: %v", rows)
	}
	for sentence, want := range map[string]int{"Verdicts that change: %d.": rows["flipped"], "Verdicts in doubt now: %d.": rows["doubtful"], "Jobs measured with this gauge: %d.": rows["flipped"] + rows["doubtful"] + rows["kept"]} {
		if said := fmt.Sprintf(sentence, want); !strings.Contains(page, said) {
			t.Errorf("the rows are %v, and the page does not say %q", rows, said)
		}
	}
	_, table := r.get("/gauges/button/recall.csv?" + ask)
	jobs := map[string]bool{}
	for _, line := range strings.Split(strings.TrimSpace(table), "\n")[1:] {
		if cells := strings.Split(line, ","); cells[2] == "" {
			if jobs[cells[0]] {
				t.Errorf("job %s stands twice in\n%s", cells[0], table)
			}
			jobs[cells[0]] = true
		}
	}
	if len(jobs) != 4 {
		t.Errorf("%d jobs in\n%s", len(jobs), table)
	}
}
