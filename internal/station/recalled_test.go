package station

import (
	"path/filepath"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health"
)

// TestRecallWaits: after a failed check the jobs before it wait for a decision, whatever becomes
// of the gauge and after a restart; the next failure asks again. A gauge that no job used and
// a check that was voided ask for nothing.
func TestRecallWaits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	waits := func(when, want string) {
		t.Helper()
		h, err := r.Health("clock")
		if err != nil {
			t.Fatal(err)
		}
		if got := told(h.RecallWanted("clock")); got != want {
			t.Errorf("%s: %q, want %q", when, got, want)
		}
	}
	const open = "gauge clock failed its check of 1 Mar 2026: nobody has decided about the jobs measured with it before"
	r.check("clock", r.at("clock", "block", "25.009"))
	waits("no job used it", "")
	r.check("clock", r.at("clock", "block", "25.000"))
	r.start(map[string]string{"depth": "micrometer", "height": "clock"})
	first := r.check("clock", r.at("clock", "block", "25.009"))
	waits("failed", open)
	r.check("clock", r.at("clock", "block", "25.000"))
	waits("passed since", open)
	if _, err := r.SetStanding(t.Context(), "clock", health.Retired, "worn", "ann"); err != nil {
		t.Fatal(err)
	}
	waits("retired", open)
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	waits("after a restart", open)

	decide := func(check uint64, reason, by string) error {
		_, err := r.DecideRecall(t.Context(), health.RecallDecision{Gauge: "clock", Check: check, Reason: reason, By: by})
		return err
	}
	wantError(t, "by nobody", decide(0, "called back", " "), "wrong input: say who decides about the past jobs")
	wantError(t, "nothing", decide(0, " ", "ann"), "wrong input: say what was decided about the past jobs of gauge clock")
	wantError(t, "another check", decide(first.Seq+1, "called back", "ann"), "refused: gauge clock failed another check since: look at its past jobs again")
	if err := decide(first.Seq, "two called back", "ann"); err != nil {
		t.Fatal(err)
	}
	waits("decided", "")
	wantError(t, "twice", decide(0, "called back", "ann"), "refused: no failed check of gauge clock waits for a decision about its past jobs")
	if h, err := r.Health("clock"); err != nil || len(h.Recalls) != 1 || h.Recalls[0].By != "ann" || h.Recalls[0].Reason != "two called back" || h.Recalls[0].Check != first.Seq {
		t.Errorf("%+v, %v", h.Recalls, err)
	}
	again := r.check("clock", r.at("clock", "block", "25.009"))
	waits("failed again", open)
	if _, err := r.VoidCheck(t.Context(), VoidRequest{"clock", again.Seq, "another block", "ann"}); err != nil {
		t.Fatal(err)
	}
	waits("voided", "")
	r.check("micrometer", CheckPoint{Master: "block", Typed: []TypedReading{{"25.009", gauge.Millimetre}}})
	if h, err := r.Health("micrometer"); err != nil || h.ToRecall() == nil {
		t.Errorf("a gauge that is read by eye asks for no recall: %v", err)
	}
}
