package page

import (
	"net/url"
	"strings"
	"testing"

	"gauged/internal/health"
)

// TestRefusalLeavesTheHints: a press that was refused stands in the line of the bar beside
// the hints, and of these the weightiest is the one that is read.
func TestRefusalLeavesTheHints(t *testing.T) {
	r := newRig(t)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"SC-1"}, "technician": {"demo"}, "gauge.depth": {"button"}, "gauge.height": {"button"}})
	for _, shown := range []string{"25.400", "25.460"} {
		r.reads("button", shown)
	}
	r.await("both readings", func() bool {
		_, body := r.get("/jobs/1")
		return strings.Contains(body, "differ by 0.060")
	})
	begun, err := r.station.BeginCheck(t.Context(), "button", "demo", []string{"zero"}, health.BegunData{})
	if err != nil {
		t.Fatal(err)
	}
	r.reads("button", "0.000")
	r.await("the notice", func() bool {
		_, body := r.get("/jobs/1")
		return strings.Contains(body, "Not done:")
	})
	line := r.has("/jobs/1", nil, `id="said"`)
	_, line, _ = strings.Cut(line, `id="said"`)
	line, _, _ = strings.Cut(line, "</summary>")
	if !strings.Contains(line, "differ by 0.060") {
		t.Errorf("the line says %s", line)
	}
	if _, err := r.station.LeaveCheck(t.Context(), "button", begun.Seq, "demo"); err != nil {
		t.Fatal(err)
	}
	if _, body := r.get("/jobs/1"); strings.Contains(body, "Not done:") {
		t.Error("the check was left, and the job still says that the gauge is being checked")
	}
}
