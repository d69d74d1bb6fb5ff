package page

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health/study"
	"gauged/internal/health/studychart"
	"gauged/internal/page/figures"
	"gauged/internal/station"
	"gauged/internal/words"
)

// drawn demands that an address gives a chart in well-formed SVG.
func (r *rig) drawn(address string) string {
	r.Helper()
	status, svg := r.get(address)
	if status != http.StatusOK || !strings.HasPrefix(svg, "<svg") {
		r.Fatalf("%s: %d %.100s", address, status, svg)
	}
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return svg
		} else if err != nil {
			r.Fatalf("%s: %v", address, err)
		}
	}
}

// takes has the page of a study take a reading of the indicator.
func (r *rig) takes(events <-chan event, shown string) {
	r.Helper()
	r.reads("line", shown)
	r.next(events, func(e event) bool { return e.name == "regions" && strings.Contains(e.data, shown+`\u003c`) })
	if status, body := r.post("/gauges/line/study/take", nil, "X-Script", "1"); status != http.StatusNoContent {
		r.Fatalf("%d %s", status, body)
	}
}

// TestStudyByPage: two persons measure three parts twice with an indicator that
// sends all the time; one reading is taken back; the study is stored, listed, shown
// and drawn.
func TestStudyByPage(t *testing.T) {
	r := newRig(t)
	r.reads("line", "0.001")
	begin := url.Values{"kind": {"crossed"}, "by": {"quality"}, "parts": {"3"}, "persons": {"Ann, Ben"}, "trials": {"2"}, "seed": {"0"}, "tolerance": {"0,5"}}
	if status, to := r.post("/gauges/line/study", begin, "Accept-Language", "de"); status != http.StatusSeeOther || to != "/gauges/line/study" {
		t.Fatalf("%d %s", status, to)
	}
	r.has("/gauges/line/study", nil, "Now Ann measures.", "Ann: part 1", "Reading 1 of 12, trial 1 of 2", `id="take"`)
	r.has("/gauges/line/study", []string{"Accept-Language", "de"}, "Jetzt misst Ann.", "Ann: Teil 1", "Messwert 1 von 12, Durchgang 1 von 2")
	if status, body := r.post("/gauges/line/study", begin, "Accept-Language", "de"); status != http.StatusConflict || !strings.Contains(body, "eine Studie von Messmittel line läuft") {
		t.Errorf("%d %s", status, body)
	}
	if status, body := r.post("/gauges/line/study/record", nil); status != http.StatusConflict || !strings.Contains(body, "12 of 12 readings are still missing") {
		t.Errorf("%d %s", status, body)
	}
	events := r.events("/gauges/line/study/stream")
	r.takes(events, "10.011")
	r.next(events, func(e event) bool { return e.name == "tone" })
	if status, body := r.post("/gauges/line/study/take", nil, "X-Script", "1"); status != http.StatusConflict || !strings.Contains(body, "no new reading") {
		t.Errorf("the same reading was taken twice: %d %s", status, body)
	}
	r.takes(events, "99.000")
	if status, body := r.post("/gauges/line/study/drop", url.Values{"seen": {"1.0"}}, "X-Script", "1"); status != http.StatusConflict || !strings.Contains(body, "moved on") {
		t.Errorf("a second touch did something: %d %s", status, body)
	}
	r.post("/gauges/line/study/drop", url.Values{"seen": {"2.0"}})
	for i, shown := range strings.Fields("10.202 10.303 10.014 10.206 10.301 10.009 10.204 10.306 10.012 10.201 10.307") {
		if i == 2 {
			r.has("/gauges/line/study", nil, "Now Ben measures.", "Ben: part 1")
		}
		r.takes(events, shown)
	}
	r.has("/gauges/line/study", nil, "All readings taken", `id="record"`)
	status, to := r.post("/gauges/line/study/record", url.Values{"remark": {"yearly"}})
	if status != http.StatusSeeOther || !strings.HasPrefix(to, "/studies/") {
		t.Fatalf("%d %s", status, to)
	}
	if e := r.next(events, func(e event) bool { return e.name == "leave" }); !strings.Contains(e.data, to) {
		t.Errorf("the other screen is led to %s", e.data)
	}
	r.has(to, nil, "Study "+strings.TrimPrefix(to, "/studies/")+" of gauge line", "Acceptable", "yearly; readings taken back: 1", "tolerance 0.5 mm", "MSA reference manual", "Repeatability and reproducibility", "10.202 mm", `<a href="`+to+`/by-part.svg">`, `aria-label="Readings by part and person.`)
	r.has(to, []string{"Accept-Language", "de"}, "Annehmbar", "Vergleichpräzision", "Toleranz 0,5 mm", "10,202 mm")
	for _, name := range []string{"by-part", "ranges", "components"} {
		r.drawn(to + "/" + name + ".svg")
	}
	_, svg := r.get(to+"/ranges.svg", "Accept-Language", "de")
	for _, want := range []string{"Spannweite der Wiederholungen nach Teil und Person", "Spannweite in mm", "obere Grenze 0,0", "mittlere Spannweite", ">Teil<"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in %s", want, svg)
		}
	}
	if status, _ := r.get(to + "/none.svg"); status != http.StatusNotFound {
		t.Error(status)
	}
	r.has("/gauges/line", nil, `<a href="`+to+`">`, "gauge and persons, crossed (yearly; readings taken back: 1)", "Acceptable")
	if status, _ := r.get("/studies/1"); status != http.StatusNotFound {
		t.Error("a reading is no study", status)
	}
}

// TestStudyByButton: a reading comes at each press; all readings equal are refused
// with the reason, and nothing is lost.
func TestStudyByButton(t *testing.T) {
	r := newRig(t)
	if status, body := r.post("/gauges/button/study", url.Values{"kind": {"bias"}, "by": {"q"}, "reference": {"5"}, "trials": {"2"}}); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	events := r.events("/gauges/button/study/stream")
	for _, shown := range []string{"5.001", "5.001"} {
		r.reads("button", shown)
		r.next(events, func(e event) bool { return e.name == "tone" })
	}
	r.next(events, func(e event) bool { return strings.Contains(e.data, "All readings taken") })
	if status, to := r.post("/gauges/button/study/record", nil); status != http.StatusSeeOther || to != "/gauges/button/study" {
		t.Errorf("%d %s", status, to)
	}
	r.has("/gauges/button/study", nil, "These readings cannot be evaluated:", "equal", "5.001")
	r.has("/gauges/button/study", []string{"Accept-Language", "de"}, "alle Abweichungen sind gleich, 0,001", "mit feinerem Ziffernschritt ablesen")
	if all, err := r.station.Studies(t.Context(), "", gauge.Query{Gauge: "button", Limit: 10}); err != nil || len(all) != 0 {
		t.Errorf("%v %v", all, err)
	}
	if status, to := r.post("/gauges/button/study/cancel", nil); status != http.StatusSeeOther || to != "/gauges/button" {
		t.Errorf("%d %s", status, to)
	}
	r.has("/gauges/button/study", nil, "Start a study")
}

// TestStudyByEye: each typed value is in the history at once.
func TestStudyByEye(t *testing.T) {
	r := newRig(t)
	r.post("/gauges/micrometer/study", url.Values{"kind": {"bias"}, "by": {"quality"}, "master": {"zero"}, "trials": {"3"}})
	for i, shown := range []string{"0,001", "0,002", "0,004"} {
		if status, body := r.post("/gauges/micrometer/study/take", url.Values{"shown": {shown}, "seen": {fmt.Sprintf("%d.0", i)}}, "Accept-Language", "de"); status != http.StatusSeeOther {
			t.Fatalf("%d %s", status, body)
		}
		readings, err := r.station.Readings(t.Context(), gauge.Query{Gauge: "micrometer", Limit: 10})
		if err != nil || len(readings) != i+1 || readings[i].Reading.EnteredBy != "quality" {
			t.Fatalf("%+v, %v", readings, err)
		}
	}
	_, to := r.post("/gauges/micrometer/study/record", nil)
	r.has(to, nil, "0.00233 mm", "<td>0.0023 mm, P 0.1181</td><td>-0.0015 to 0.0061 mm</td>", "0.00153 mm", "<td>zero</td>")
	r.has(to, nil, `<a href="#reading-3" aria-label="Reading 3, zero: 0.004 mm">`, `<tr id="reading-3"><td>3</td>`) // a touched point leads to its reading
	r.has(to, []string{"Accept-Language", "de"}, `aria-label="Messwert 3, zero: 0,004 mm"`)
	if strings.Contains(r.drawn(to+"/bias.svg"), "<a ") {
		t.Error("a picture by itself leads to rows that it does not have")
	}
	made, err := r.station.Studies(t.Context(), "", gauge.Query{Gauge: "micrometer", Limit: 10})
	if err != nil || len(made) != 1 || made[0].By != "quality" || made[0].Plan.Kind != study.BiasKind || made[0].Readings[0].Seq == 0 {
		t.Errorf("%+v, %v", made, err)
	}
}

func TestStudyIsRefused(t *testing.T) {
	r := newRig(t)
	for _, c := range []struct {
		fields string
		want   string
	}{
		{"kind=crossed", "a study needs the name of who made it"},
		{"by=q&kind=crossed&parts=3", "say who measures"},
		{"by=q&kind=one-way", "is no kind of study that is measured at the bench"},
		{"by=q&kind=bias&master=none", "there is no master &#34;none&#34;"},
		{"by=q&kind=bias&reference=x", "reference value: &#34;x&#34; is not a number"},
		{"by=q&kind=bias&reference=1&trials=x", "is not a number of trials"},
		{"by=q&kind=bias&reference=1&seed=-1", "the seed &#34;-1&#34; is not a whole number"},
		{"by=q&kind=bias&reference=1&tolerance=-1", "-1 is not above 0"},
		{"by=q&kind=capability&reference=1", "the indices compare the gauge with a tolerance: give its width"},
	} {
		form, err := url.ParseQuery(c.fields)
		if err != nil {
			t.Fatal(err)
		}
		if status, body := r.post("/gauges/line/study", form); status != http.StatusUnprocessableEntity || !strings.Contains(body, c.want) {
			t.Errorf("%s: %d, no %q in %s", c.fields, status, c.want, body)
		}
	}
	for _, path := range []string{"take", "drop", "record"} {
		if status, body := r.post("/gauges/line/study/"+path, nil); status != http.StatusConflict || !strings.Contains(body, "no study of gauge line is being measured") {
			t.Errorf("%s: %d %s", path, status, body)
		}
	}
}

// TestStudyFromChecks: the stored checks answer at one touch; the answer is stored
// when that is wanted.
func TestStudyFromChecks(t *testing.T) {
	r := newRig(t)
	for i := range 8 {
		var at station.CheckPoint
		at.Master = "zero"
		for k := range 2 {
			at.Typed = append(at.Typed, station.TypedReading{Shown: fmt.Sprintf("0.00%d", (3*i+k)%7), Unit: gauge.Millimetre})
		}
		if _, err := r.station.RecordCheck(t.Context(), station.CheckRequest{Gauge: "micrometer", By: "q", Found: []station.CheckPoint{at}}); err != nil {
			t.Fatal(err)
		}
	}
	r.has("/gauges/micrometer", nil, "Study from the stored checks", `<button name="kind" value="stability">`, "<option>zero</option>")
	const path = "/gauges/micrometer/study/checks?kind="
	for kind, want := range map[string]string{"bias": "Bias found", "stability": "Limits", "capability&tolerance=0.1": "Cgk"} {
		r.has(path+kind, nil, want, "from its checks, not saved", "Save this study")
	}
	r.drawn("/gauges/micrometer/study/checks/run-chart.svg?kind=stability")
	if status, body := r.get(path + "linearity"); status != http.StatusConflict || !strings.Contains(body, "too few reference values") {
		t.Errorf("%d %s", status, body)
	}
	if status, body := r.get(path + "capability"); status != http.StatusUnprocessableEntity || !strings.Contains(body, "give its width") {
		t.Errorf("%d %s", status, body)
	}
	if status, body := r.get(path + "bias&since=x"); status != http.StatusUnprocessableEntity || !strings.Contains(body, "is no day such as") {
		t.Errorf("%d %s", status, body)
	}
	status, to := r.post("/gauges/micrometer/study/checks", url.Values{"kind": {"bias"}, "master": {"zero"}, "by": {"quality"}, "remark": {"of the year"}})
	if status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, to)
	}
	r.has(to, nil, "Bias found", "quality (of the year)", "16 readings")
}

// TestDrawingsSpeakEveryLanguage: whatever is written on the drawing of a study is in
// the catalogue.
func TestDrawingsSpeakEveryLanguage(t *testing.T) {
	catalogue, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	german := catalogue.In(words.German)
	persons := []string{"part,appraiser,value", "1,A,1.01", "1,A,1.02", "2,A,1.21", "2,A,1.23", "1,B,1.02", "1,B,1.01", "2,B,1.24", "2,B,1.22"}
	refs := []string{"value,reference"}
	for i := range 12 {
		refs = append(refs, fmt.Sprintf("%d.0%d,%d", 1+i%3, 3*i%7, 1+i%3))
	}
	one := []string{"value,reference"}
	for i := range 11 {
		one = append(one, fmt.Sprintf("1.0%d,1", 3*i%7))
	}
	far := append(one[:len(one):len(one)], "9.00,1")
	days := []string{"run,day,value"}
	for i := range 16 {
		days = append(days, fmt.Sprintf("%d,%d,1.0%d", i/8, i/2, 3*i%7))
	}
	for _, c := range []struct {
		kind study.Kind
		rows []string
	}{
		{study.CrossedKind, persons},
		{study.NestedKind, persons},
		{study.NestedKind, days},
		{study.OneWayKind, []string{"group,value", "a,1.0", "a,1.1", "b,1.2", "b,1.4"}},
		{study.BiasKind, one},
		{study.LinearityKind, refs},
		{study.StabilityKind, far},
		{study.CapabilityKind, one},
	} {
		table, err := study.ReadTable("rows", []byte(strings.Join(c.rows, "\n")+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		plan := study.Plan{Kind: c.kind, Options: study.Options{Tolerance: 0.5, Seed: 1}}
		data, err := plan.Read(table, nil)
		if err != nil {
			t.Fatal(c.kind, err)
		}
		s, err := plan.Evaluate(data)
		if err != nil {
			t.Fatal(c.kind, err)
		}
		drawings, err := studychart.Of(s, "mm", german, nil)
		if err != nil || len(drawings) == 0 {
			t.Errorf("%s: %d drawings, %v", c.kind, len(drawings), err)
		}
		for _, d := range drawings {
			if title, err := german.Say("study.chart." + d.Name); err != nil || !strings.Contains(d.SVG(), title) {
				t.Errorf("the chart %s has no title: %v", d.Name, err)
			}
			if text := pointed(d.SVG()); text != "" {
				t.Errorf("the chart %s in German: %q", d.Name, text)
			}
		}
		if _, err := figures.Tables(s, gauge.Millimetre, german); err != nil {
			t.Errorf("%s: %v", c.kind, err)
		}
		if !german.Has("study.short."+string(c.kind)) || !german.Has("study.kind."+string(c.kind)) {
			t.Errorf("the kind %s has no name", c.kind)
		}
	}
	for _, word := range study.Words {
		if !german.Has("study.word." + words.Key(word)) {
			t.Errorf("the word %q is not in the catalogue", word)
		}
	}
}
