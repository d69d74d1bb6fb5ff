package page

import (
	"bytes"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/station"
)

// wholeJob runs a job to its end: three depths of which one is discarded, a typed
// height, a ring that is measured, and the proof.
func wholeJob(r *rig) uint64 {
	r.Helper()
	ctx := r.Context()
	must := func(j *job.Job, err error) *job.Job {
		r.Helper()
		if err != nil {
			r.Fatal(err)
		}
		return j
	}
	j := must(r.station.StartJob(ctx, station.StartRequest{Procedure: "ring", UnitSerial: "U <7>", Technician: "demo", Gauges: map[string]string{"depth": "button"}}))
	await := func(n int) {
		r.Helper()
		for range 200 {
			if now := must(r.station.Job(ctx, j.ID)); len(now.Evaluation.Measurements[0].Readings) == n {
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
		r.Fatalf("%d readings did not come", n)
	}
	r.reads("button", "24.900")
	await(1)
	must(r.station.Discard(ctx, j.ID, 0, "foot was not flat", "demo"))
	r.reads("button", "25.210")
	await(2)
	r.reads("button", "25.212")
	await(3)
	enter := func(measurement, shown string) {
		r.Helper()
		if _, _, err := r.station.Enter(ctx, station.EnterRequest{Job: j.ID, Measurement: measurement, Shown: shown, Unit: gauge.Millimetre, Instrument: "depth micrometer", By: "demo"}); err != nil {
			r.Fatal(err)
		}
	}
	enter("height", "23.460")
	must(r.station.Choose(ctx, station.ChooseRequest{Job: j.ID}))
	thickness := "1.602"
	must(r.station.Fit(ctx, station.FitRequest{Job: j.ID, Thickness: thickness, Unit: gauge.Millimetre, By: "demo"}))
	enter("end_play", "0.15")
	must(r.station.Verify(ctx, j.ID, "demo"))
	must(r.station.CloseJob(ctx, j.ID, "", "demo"))
	return j.ID
}

// onSheet is what must stand on the sheet of that job, in any form.
var onSheet = []string{
	"Job sheet 1", "Conforms", "U <7>", "bench <1>", "24.900 mm", "discarded: foot was not flat", "25.210 mm", "25.212 mm",
	"typed by demo", "R160", "measured 1.602 mm thick", "0.100 mm to 0.200 mm", "0.15 mm", "depth - height", "Reading discarded",
	"Verdict signed", "simple acceptance", "Depth gauge", "never", "Technician, date", "The maker's manual",
}

func TestPrintView(t *testing.T) {
	r := newRig(t)
	wholeJob(r)
	status, body := r.get("/jobs/1/sheet")
	for _, want := range onSheet {
		want = strings.NewReplacer("<", "&lt;", ">", "&gt;", "'", "&#39;").Replace(want)
		if status != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("%d, no %q in %s", status, want, body)
		}
	}
	if !strings.Contains(body, `<tr class="struck"><td>Depth of the case</td><td>24.900 mm</td>`) {
		t.Error("the discarded reading is not struck out")
	}
	if status, _ := r.get("/jobs/2/sheet"); status != http.StatusNotFound {
		t.Errorf("there is no job 2, but %d", status)
	}
}

// TestPDF reads the PDF back with pdftotext.
func TestPDF(t *testing.T) {
	r := newRig(t)
	wholeJob(r)
	text := r.pdfText("/jobs/1/sheet.pdf")
	for _, want := range onSheet {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %s", want, text)
		}
	}
	german := r.pdfText("/jobs/1/sheet.pdf", "Accept-Language", "de")
	for _, want := range []string{"Auftragsblatt 1", "24,900 mm", "verworfen: foot was not flat", "Prüfungen", "0,15 mm"} {
		if !strings.Contains(german, want) {
			t.Errorf("no %q in %s", want, german)
		}
	}
	if s, err := r.station.Job(t.Context(), 1); err != nil || !strings.Contains(strings.ReplaceAll(text, "\n", ""), s.Procedure.Hash[:40]) {
		t.Errorf("the version of the procedure is not on the sheet: %v", err)
	}
}

// TestPaperProvesTheHistory: the head is found in the text of the printed page and of the
// PDF, is signed by the station, and the history agrees with it also after more was stored.
func TestPaperProvesTheHistory(t *testing.T) {
	r := newRig(t)
	wholeJob(r)
	_, print := r.get("/jobs/1/sheet")
	papers := []string{r.pdfText("/jobs/1/sheet.pdf"), print}
	if _, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "U 8", Technician: "demo"}); err != nil {
		t.Fatal(err)
	}
	for _, paper := range papers {
		at := strings.Index(paper, "gauged-head-1 ")
		if at < 0 {
			t.Fatalf("there is no head on the sheet: %s", paper)
		}
		v, signed, err := r.station.VerifyHistory(t.Context(), paper[at:])
		if err != nil || v.Difference != nil || len(v.Held) != 1 || signed == nil || !*signed {
			t.Errorf("%+v, signed %v, %v", v, signed, err)
		}
	}
}

// pdfText is the text of a PDF, its lines joined by single blanks.
func (r *rig) pdfText(path string, headers ...string) string {
	r.Helper()
	status, body := r.get(path, headers...)
	if status != http.StatusOK || !strings.HasPrefix(body, "%PDF-") {
		r.Fatalf("%d %.100s", status, body)
	}
	file := filepath.Join(r.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, []byte(body), 0o600); err != nil {
		r.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", file, "-").CombinedOutput()
	if err != nil {
		r.Fatalf("pdftotext, of Debian's package poppler-utils: %v: %s", err, out)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

// TestSheetOfAnySerial: a scanner can give any characters; the PDF shows a mark for
// those that no font of it has, and comes all the same.
func TestSheetOfAnySerial(t *testing.T) {
	r := newRig(t)
	if _, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "U\U0001F600\x1b[2J 7", Technician: "d\U0001F600mo"}); err != nil {
		t.Fatal(err)
	}
	if text := r.pdfText("/jobs/1/sheet.pdf"); !strings.Contains(text, "7") || strings.Contains(text, "\x1b") {
		t.Error(text)
	}
	r.has("/jobs/1/sheet", nil)
}

// TestFaultOfAPage: a panic is logged and answered.
func TestFaultOfAPage(t *testing.T) {
	var log bytes.Buffer
	p := &Page{o: Options{Log: slog.New(slog.NewTextHandler(&log, nil))}}
	answer := httptest.NewRecorder()
	p.catching(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic("a fault") })).ServeHTTP(answer, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/x", nil))
	if answer.Code != http.StatusInternalServerError || !strings.Contains(answer.Body.String(), "a fault of the daemon; its log says more") {
		t.Errorf("%d %s", answer.Code, answer.Body)
	}
	if !strings.Contains(log.String(), "level=ERROR") {
		t.Errorf("the log has %q", log.String())
	}
}

// TestSheetOfACheck: the page of a gauge leads to the sheet of each of its checks.
func TestSheetOfACheck(t *testing.T) {
	r := newRig(t)
	r.typedCheck("0.00", "0.01")
	checks, err := r.station.Checks(t.Context(), "micrometer")
	if err != nil || len(checks) != 1 {
		t.Fatal(checks, err)
	}
	path := fmt.Sprintf("/gauges/micrometer/checks/%d/sheet.pdf", checks[0].Seq)
	r.has("/gauges/micrometer", nil, `href="`+path+`"`)
	for language, want := range map[string]string{"en": "of gauge micrometer", "de": "von Messmittel micrometer"} {
		if text := r.pdfText(path, "Accept-Language", language); !strings.Contains(text, want) || !strings.Contains(text, "gauged-head-1 ") {
			t.Errorf("no %q in %s", want, text)
		}
	}
	for _, missing := range []string{"/gauges/micrometer/checks/9999/sheet.pdf", "/gauges/micrometer/checks/x/sheet.pdf", "/gauges/none/checks/1/sheet.pdf"} {
		if status, _ := r.get(missing); status != http.StatusNotFound {
			t.Errorf("%s: %d", missing, status)
		}
	}
}
