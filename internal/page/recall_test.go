package page

import (
	"net/http"
	"strings"
	"testing"

	"gauged/internal/gauge"
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
	if lines := strings.Split(strings.TrimSpace(table), "\n"); status != http.StatusOK || len(lines) != 2 || !strings.HasPrefix(lines[1], "1,U <7>,") || !strings.Contains(lines[1], ",0.15,") {
		t.Errorf("%d %q", status, lines)
	}
	r.has("/gauges/button/recall?go=1&error=60&unit=um&standard=5", nil, "60 µm", "standard uncertainty 5 µm", `name="standard" inputmode="decimal" value="5"`)
	begun, err := r.station.BeginCheck(t.Context(), "button", "quality", nil)
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
	if _, err := r.station.RecordCheck(t.Context(), station.CheckRequest{Gauge: "button", By: "quality", Found: []station.CheckPoint{{Master: "zero", Readings: []uint64{readings[0].Seq}}}}); err != nil {
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
}
