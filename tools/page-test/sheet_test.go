//go:build page

package pagetest

import (
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// gaugectl runs a command of the command line on the bench's daemon.
func (b *bench) gaugectl(args ...string) string {
	b.Helper()
	c := exec.Command(filepath.Join(built, "gaugectl"), args...)
	c.Env = append(os.Environ(), "GAUGECTL_ADDRESS=unix://"+filepath.Join(b.dir, "s"), "GAUGECTL_BY=demo")
	out, err := c.CombinedOutput()
	if err != nil {
		b.Fatalf("gaugectl %s: %v: %s", strings.Join(args, " "), err, out)
	}
	return string(out)
}

// readings returns how many readings job 1 has, discarded ones too.
func (b *bench) readings() (n int) {
	b.Helper()
	var job struct {
		Job struct {
			Evaluation struct{ Measurements []struct{ Readings []any } }
		}
	}
	shown := b.gaugectl("job", "show", "1", "--output", "json")
	if err := json.Unmarshal([]byte(shown), &job); err != nil {
		b.Fatalf("%v: %s", err, shown)
	}
	for _, m := range job.Job.Evaluation.Measurements {
		n += len(m.Readings)
	}
	return n
}

// taken waits until job 1 has so many readings.
func (b *bench) taken(n int) {
	b.Helper()
	b.await("the reading is taken", func() bool { return b.readings() == n })
}

// onSheet is what must stand on the sheet of the whole job.
var onSheet = []string{
	"Job sheet 1", "Conforms", "L2-0417", "bench-1", "24.700 mm", "discarded: the gauge slipped", "25.210 mm", "25.214 mm", "23.460 mm",
	"R160", "0.100 mm to 0.200 mm", "depth - cover", "Depth gauge with a data button", "Technician, date",
}

// TestSheet: the print view and the PDF, which says the same when it is read back.
func TestSheet(t *testing.T) {
	b := newBench(t)
	b.wholeJob()
	s := b.newScreen("en")
	s.open("/jobs/1/sheet")
	s.shows("main", onSheet...)
	s.look("sheet")

	b.reads("the PDF", b.fetch("/jobs/1/sheet.pdf"), onSheet...)
	printed := see(s, chromedp.PrintToPDF())
	s.keep("sheet-printed.pdf", printed)
	text := b.reads("the printed page", printed, onSheet...)
	if strings.Contains(text, "Settings") {
		t.Error("the frame of the page is printed, too")
	}
}

// wholeJob runs job 1 to its end without the page: a discarded depth, two that
// count, a typed height, a ring, and the proof.
func (b *bench) wholeJob() {
	b.Helper()
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "depth=depth", "--gauge", "end_play=indicator")
	for i, depth := range []string{"24.700", "25.210", "25.214"} {
		b.hands("set depth "+depth, "press depth")
		b.taken(i + 1)
		if i == 0 {
			b.gaugectl("job", "discard", "1", "--reason", "the gauge slipped")
		}
	}
	b.gaugectl("job", "enter", "1", "23.460mm", "--instrument", "micrometer")
	b.gaugectl("job", "choose", "1")
	b.gaugectl("job", "fit", "1")
	b.hands("set indicator 0.152")
	b.await("the indicator shows it", func() bool { return strings.Contains(b.gaugectl("gauges"), "0.152") })
	for _, step := range []string{"capture", "verify", "close"} {
		b.gaugectl("job", step, "1")
	}
}

// fetch gets a file of the page.
func (b *bench) fetch(path string) []byte {
	b.Helper()
	answer, err := (&http.Client{Timeout: 10 * time.Second}).Get(b.url + path)
	if err != nil {
		b.Fatal(err)
	}
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		b.Fatalf("%s: %s %v", path, answer.Status, err)
	}
	return content
}

// reads has pdftotext read a PDF and looks for texts in it, which it returns.
func (b *bench) reads(what string, pdf []byte, texts ...string) string {
	b.Helper()
	file := filepath.Join(b.dir, "read.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		b.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", file, "-").CombinedOutput()
	if err != nil {
		b.Fatalf("pdftotext, of Debian's package poppler-utils: %v: %s", err, out)
	}
	text := strings.Join(strings.Fields(string(out)), " ")
	for _, want := range texts {
		if !strings.Contains(text, want) {
			b.Errorf("%s has no %q: %s", what, want, text)
		}
	}
	return text
}
